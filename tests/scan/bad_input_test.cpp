// Damaged and hostile files: one clear error, never a crash, never memory on a header's word.
#include <gmock/gmock.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>
#include <zlib.h>

extern "C" {
#include <lzf.h>
}

#include "samples.h"
#include "scan/scan.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

std::string error_of(const fs::path& path, ErrorKind kind) {
  try {
    const Scan scan = Scan::open(path);
    ADD_FAILURE() << path << ": accepted with " << scan.facts().points << " points";
  } catch (const Error& e) {
    EXPECT_EQ(e.kind(), kind) << e.what();
    EXPECT_FALSE(e.next_step().empty()) << e.what();
    return e.what();
  }
  return {};
}

void expect_corners(const Scan& scan) {
  const Points p = scan.all();
  ASSERT_EQ(p.size(), kCorners.size());
  for (std::size_t i = 0; i < p.size(); ++i)
    EXPECT_EQ(p.at(i), Vec3(kCorners[i][0], kCorners[i][1], kCorners[i][2]));
}

TEST(BadInput, EverySampleCutAtEveryByte) {
  const fs::path folder = scratch("cut");
  ScanOptions options;
  options.threads = 1;
  options.hash = false;
  for (const auto& [name, bytes] : sample_files()) {
    // A table of text carries no promise: what is there counts. Every other format must notice.
    const bool promises = name.find("points.") != 0 && name != "mesh.obj";
    for (std::size_t n = 0; n < bytes.size(); ++n) {
      const fs::path path = write_file(folder / name, bytes.substr(0, n));
      try {
        const Scan scan = Scan::open(path, options);
        EXPECT_LE(scan.all().size(), 4u) << name << " cut at " << n;
        // Unnoticed may only be that the last line of a text is shorter: by a digit of a number,
        // or by corners of a face, which nobody reads.
        const std::size_t last_line = bytes.rfind('\n', bytes.size() - 2);
        EXPECT_TRUE(!promises || (bytes.back() == '\n' && n > last_line))
            << name << " cut at " << n;
      } catch (const Error& e) {
        EXPECT_EQ(e.kind(), ErrorKind::data) << name << " cut at " << n << ": " << e.what();
      }
    }
  }
}

TEST(BadInput, EveryGzipCutAndDamagedAtEveryByte) {
  const fs::path folder = scratch("cut_gzip");
  const std::string bytes = sample_files()["little.ply"];
  const fs::path path = folder / "a.ply.gz";
  gzFile out = gzopen(path.c_str(), "wb9");
  gzwrite(out, bytes.data(), static_cast<unsigned>(bytes.size()));
  gzclose(out);
  std::ifstream in(path, std::ios::binary);
  const std::string packed((std::istreambuf_iterator<char>(in)), {});
  for (std::size_t n = 0; n < packed.size(); ++n) {
    error_of(write_file(path, packed.substr(0, n)), ErrorKind::data);
    std::string damaged = packed;
    damaged[n] = static_cast<char>(damaged[n] ^ 0x10);
    try {  // a changed time or system in the header harms nothing; the check sum guards the rest
      expect_corners(Scan::open(write_file(path, damaged)));
    } catch (const Error& e) {
      EXPECT_EQ(e.kind(), ErrorKind::data);
    }
  }
}

TEST(BadInput, EveryByteOfEverySampleChanged) {
  const fs::path folder = scratch("flip");
  ScanOptions options;
  options.threads = 1;
  options.hash = false;
  for (const auto& [name, bytes] : sample_files())
    for (std::size_t n = 0; n < bytes.size(); ++n)
      for (const char change : {'\x01', '\x80'}) {
        std::string damaged = bytes;
        damaged[n] = static_cast<char>(damaged[n] ^ change);
        try {
          EXPECT_LE(Scan::open(write_file(folder / name, damaged), options).all().size(), 12u);
        } catch (const Error& e) {
          EXPECT_EQ(e.kind(), ErrorKind::data) << e.what();
        }
      }
}

TEST(BadInput, PromisesAreHeldAgainstTheFile) {
  const fs::path folder = scratch("promise");
  std::string body(3021 * 12, '\0');
  const fs::path path =
      write_file(folder / "a.ply",
                 ply_header("binary_little_endian", vertex_element("float", 5000)) + body + "abc");
  try {
    Scan::open(path);
    FAIL();
  } catch (const TruncatedScan& e) {
    EXPECT_EQ(e.promised(), 5000u);
    EXPECT_EQ(e.delivered(), 3021u);
    EXPECT_THAT(e.what(), testing::EndsWith("a.ply: file promises 5000 points and delivers 3021"));
    EXPECT_EQ(e.next_step(), "Export it again.");
  }
}

/// Headers that promise what no machine holds; each with a body of a few bytes.
TEST(BadInput, HostileCountsTakeNoMemory) {
  const fs::path folder = scratch("hostile");
  const std::string le = "binary_little_endian";
  const std::string face =
      "element face 9223372036854775807\nproperty list uint int vertex_indices\n";
  const auto vertex = [](const std::string& count) {
    return "element vertex " + count + "\nproperty float x\nproperty float y\nproperty float z\n";
  };
  const auto pcd =
      [](const std::string& width, const std::string& points, const std::string& data) {
        return "VERSION .7\nFIELDS x y z\nSIZE 4 4 4\nTYPE F F F\nCOUNT 1 1 1\nWIDTH " + width +
               "\nHEIGHT 1\nPOINTS " + points + "\nDATA " + data + "\n";
      };
  const std::string some(48, 'a');
  const std::pair<const char*, std::string> files[] = {
      {"a.ply", ply_header(le, vertex("9223372036854775808")) + some},
      {"b.ply", ply_header(le, vertex("18446744073709551615")) + some},
      {"c.ply", ply_header(le, vertex("18446744073709551616")) + some},
      {"d.ply", ply_header(le, vertex("-1")) + some},
      {"e.ply", ply_header(le, vertex("1537228672809129302")) + some},  // times 12 wraps to 8
      {"f.ply", ply_header("ascii", vertex("9223372036854775808")) + "1 2 3\n"},
      {"g.ply", ply_header(le, vertex("1") + face) + some},
      {"h.ply",
       ply_header(le, vertex("1") + "element face 1\nproperty list uint double i\n") + some},
      {"i.ply",
       ply_header(le, vertex("1") + "element face 1\nproperty list int double i\n") +
           std::string(12, 'a') + raw(-5) + some},
      {"k.ply",
       ply_header(le, vertex("1") + "element face 1\nproperty list uint64 uchar i\n") +
           std::string(12, 'a') + raw(std::uint64_t(-1)) + some},
      {"j.ply",
       ply_header(le, "element e 18446744073709551615\n" + vertex("18446744073709551615"))},
      {"a.pcd", pcd("4611686018427387904", "4611686018427387904", "binary") + some},
      {"b.pcd", pcd("4294967295", "4294967295", "binary_compressed") + raw(4u, 4294967284u) + some},
      {"c.pcd", pcd("4", "4", "binary_compressed") + raw(8u, 48u) + some},
      {"d.pcd", pcd("5", "4", "binary") + some},
      {"e.pcd", pcd("99999999999", "99999999999", "ascii") + "1 2 3\n"},
      {"f.pcd",
       "VERSION .7\nFIELDS x y z a\nSIZE 4 4 4 4\nTYPE F F F F\nCOUNT 1 1 1 "
       "18446744073709551615\nWIDTH 1\nHEIGHT 1\nPOINTS 1\nDATA binary\n" +
           some},
      {"a.stl", std::string(80, '\1') + raw(4294967295u) + some},
      {"a.off", "OFF\n18446744073709551615 1 0\n1 2 3\n"},
      {"b.off", "OFF\n1 18446744073709551615 0\n1 2 3\n"},
      {"a.pts", "18446744073709551615\n1 2 3\n"},
      {"a.xyz", "1 2 " + std::string(3u << 20, '3') + "x\n"},
      {"b.xyz", "1 2 3\n" + std::string(3u << 20, '4')}};
  rusage before{}, after{};
  ::getrusage(RUSAGE_SELF, &before);
  for (const auto& [name, bytes] : files) {
    SCOPED_TRACE(name);
    error_of(write_file(folder / name, bytes), ErrorKind::data);
  }
  ::getrusage(RUSAGE_SELF, &after);
  EXPECT_LT(after.ru_maxrss - before.ru_maxrss, 200 << 10) << "KiB";
}

TEST(BadInput, WrongHeadersNameTheirLine) {
  const fs::path folder = scratch("headers");
  const std::string v = "element vertex 1\nproperty float x\nproperty float y\n";
  const std::pair<std::string, const char*> files[] = {
      {"ply\nformat ascii 1.0\n" + v + "property flaot z\nend_header\n",
       ":6: unknown property type \"flaot\""},
      {"ply\nformat ascii 2.0\n", ":2: PLY version"},
      {"ply\nformat binary 1.0\n", ":2: unknown PLY format"},
      {"ply\nproperty float x\n", ":2: a property before the first element"},
      {"ply\nformat ascii 1.0\nelement vertex many\n", ":3: an element needs a name and a count"},
      {"ply\nformat ascii 1.0\n" + v + "end_header\n1 2\n", "no coordinate \"z\""},
      {"ply\nformat ascii 1.0\n" + v + "property float x\nproperty float z\nend_header\n",
       "\"x\" twice"},
      {"ply\nformat ascii 1.0\nend_header\n", "no element \"vertex\""},
      {"ply\nformat ascii 1.0\n" + v, "does not end with \"end_header\""},
      {"ply\nfornat ascii 1.0\n", ":2: \"fornat ascii 1.0\" is no line of a PLY header"},
      {"ply\nformat ascii 1.0\n" + v + "property float z\nend_header\n1 x 3\n",
       ":8: \"x\" is not a number"},
      {"VERSION .7\nFIELDS x y\nSIZE 4 4\nTYPE F F\nWIDTH 1\nDATA ascii\n1 2\n",
       "no single field \"z\""},
      {"VERSION .7\nFIELDS x y z\nSIZE 4 4\n", ":3: 2 values for 3 fields"},
      {"VERSION .7\nFIELDS x y z\nSIZE 4 4 3\nTYPE F F F\nWIDTH 1\nDATA ascii\n1 2 3\n",
       "type or size"},
      {"VERSION .7\nFIELDS x y z\nSIZE 4 4 4\nTYPE F F F\nWIDTH 1\nDATA zip\n1 2 3\n",
       "unknown PCD data \"zip\""},
      {"solid a\nfacet normal 0 0 1\nouther lop\n", "is no STL keyword"}};
  for (const auto& [bytes, what] : files)
    EXPECT_THAT(error_of(write_file(folder / "scan.stl", bytes), ErrorKind::data),
                testing::HasSubstr(what));
}

TEST(BadInput, NoFileAtAll) {
  const fs::path folder = scratch("none");
  EXPECT_THAT(error_of(write_file(folder / "empty.ply", ""), ErrorKind::data),
              testing::HasSubstr("is empty"));
  std::string noise;
  for (unsigned i = 0, s = 1; i < 5000; ++i)
    noise += static_cast<char>((s = s * 1664525u + 1013904223u) >> 24);
  EXPECT_THAT(error_of(write_file(folder / "noise.ply", noise), ErrorKind::data),
              testing::HasSubstr("no format"));
  error_of(folder, ErrorKind::missing);
  error_of(folder / "absent.ply", ErrorKind::missing);
  ASSERT_EQ(::mkfifo((folder / "pipe.ply").c_str(), 0600), 0);
  error_of(folder / "pipe.ply", ErrorKind::missing);
  EXPECT_THAT(error_of(write_file(folder / "b\xff.ply", "ply\n"), ErrorKind::data),
              testing::HasSubstr("b\\xff.ply"));
  if (::geteuid() != 0) {
    fs::permissions(write_file(folder / "locked.ply", float_ply(kCorners)), fs::perms::none);
    error_of(folder / "locked.ply", ErrorKind::missing);
  }
}

TEST(BadInput, AGzipBombIsCut) {
  const fs::path folder = scratch("bomb");
  const fs::path path = folder / "bomb.xyz.gz";
  gzFile out = gzopen(path.c_str(), "wb9");
  const std::string zeros(1u << 20, ' ');
  for (int i = 0; i < 100; ++i) gzwrite(out, zeros.data(), static_cast<unsigned>(zeros.size()));
  gzclose(out);
  ASSERT_LT(fs::file_size(path), 200u << 10);
  EXPECT_THAT(error_of(path, ErrorKind::data), testing::HasSubstr("unpacks to more than 64 MiB"));
}

/// One packing inside another: the two ratios together are held against the file.
TEST(BadInput, ACompressedScanInsideGzipIsCutToo) {
  const fs::path folder = scratch("bomb");
  static constexpr unsigned kPoints = 15'000'000;
  const std::string zeros(3u * kPoints, '\0');
  std::string packed(zeros.size(), '\0');
  packed.resize(lzf_compress(zeros.data(),
                             static_cast<unsigned>(zeros.size()),
                             packed.data(),
                             static_cast<unsigned>(packed.size())));
  ASSERT_FALSE(packed.empty());
  const std::string n = std::to_string(kPoints);
  const std::string pcd =
      "VERSION .7\nFIELDS x y z\nSIZE 1 1 1\nTYPE I I I\nCOUNT 1 1 1\nWIDTH " + n +
      "\nHEIGHT 1\nPOINTS " + n + "\nDATA binary_compressed\n" +
      raw(static_cast<std::uint32_t>(packed.size()), static_cast<std::uint32_t>(zeros.size())) +
      packed;
  EXPECT_EQ(Scan::open(write_file(folder / "plain.pcd", pcd)).facts().points, kPoints);
  const fs::path path = folder / "bomb.pcd.gz";
  gzFile out = gzopen(path.c_str(), "wb9");
  gzwrite(out, pcd.data(), static_cast<unsigned>(pcd.size()));
  gzclose(out);
  ASSERT_LT(fs::file_size(path), 100u << 10);
  EXPECT_THAT(error_of(path, ErrorKind::data), testing::HasSubstr("unpacks to 42 MiB from"));
}

/// Records of nothing: the file holds as many as anybody likes to say.
TEST(BadInput, FacesWithoutPropertiesAreNotCounted) {
  const Scan scan = Scan::open(
      write_file(scratch("promise") / "faces.ply",
                 ply_header("binary_little_endian",
                            vertex_element("float", 1) + "element face 18446744073709551615\n") +
                     std::string(12, '\0')));
  EXPECT_EQ(scan.facts().faces, 0u);
}

}  // namespace
}  // namespace rigproof
