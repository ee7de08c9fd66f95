// Every format against points written by hand.
#include <cmath>
#include <limits>

#include <gmock/gmock.h>
#include <zlib.h>

extern "C" {
#include <lzf.h>
}

#include "base/number.h"
#include "samples.h"
#include "scan/ply_writer.h"
#include "scan/scan.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

constexpr double kNaN = std::numeric_limits<double>::quiet_NaN();

Scan open_bytes(const std::string& name,
                const std::string& bytes,
                const ScanOptions& options = {}) {
  static const fs::path folder = scratch("formats");
  return Scan::open(write_file(folder / name, bytes), options);
}

/// All points of the scan, compared exactly.
void expect_points(const Scan& scan, const Xyz& expected) {
  const Points p = scan.all();
  ASSERT_EQ(p.size(), expected.size());
  EXPECT_EQ(scan.facts().points, expected.size());
  for (std::size_t i = 0; i < p.size(); ++i)
    EXPECT_EQ(p.at(i), Vec3(expected[i][0], expected[i][1], expected[i][2])) << i;
}

std::string gzip(const std::string& bytes) {
  z_stream z{};
  deflateInit2(&z, 9, Z_DEFLATED, 15 + 16, 8, Z_DEFAULT_STRATEGY);
  std::string out(deflateBound(&z, bytes.size()), '\0');
  z.next_in = reinterpret_cast<Bytef*>(const_cast<char*>(bytes.data()));
  z.avail_in = static_cast<uInt>(bytes.size());
  z.next_out = reinterpret_cast<Bytef*>(out.data());
  z.avail_out = static_cast<uInt>(out.size());
  deflate(&z, Z_FINISH);
  out.resize(z.total_out);
  deflateEnd(&z);
  return out;
}

TEST(Formats, TheSameFourPointsInEveryFormat) {
  for (const auto& [name, bytes] : sample_files()) {
    SCOPED_TRACE(name);
    const Scan scan = open_bytes(name, bytes);
    if (name.ends_with(".stl")) {  // in the order of the corners
      expect_points(scan, {kCorners[0], kCorners[2], kCorners[1], kCorners[3]});
      EXPECT_EQ(scan.facts().merged, 8u);
    } else {
      expect_points(scan, kCorners);
    }
    const bool mesh = name.ends_with(".stl") || name.starts_with("mesh") || name == "ascii.ply";
    EXPECT_EQ(scan.facts().faces, mesh ? 4u : 0u);
    EXPECT_EQ(scan.facts().trailing, 0u);
    EXPECT_EQ(scan.facts().bytes, bytes.size());
    EXPECT_EQ(scan.facts().box.lo, Vec3(0, 0, -3.125));
    EXPECT_EQ(scan.facts().box.hi, Vec3(1.5, 2.25, 0));
  }
}

TEST(Formats, TheSameGzipCompressedAndUnderAnyName) {
  for (const auto& [name, bytes] : sample_files()) {
    SCOPED_TRACE(name);
    EXPECT_EQ(open_bytes(name + ".gz", gzip(bytes)).facts().points, 4u);
    EXPECT_EQ(open_bytes("no-ending", gzip(bytes)).facts().points, 4u);  // by content alone
    EXPECT_EQ(open_bytes("wrong.dat", bytes).facts().points, 4u);
    const std::string half = bytes.substr(0, bytes.size() / 2);
    EXPECT_EQ(open_bytes("members.gz", gzip(half) + gzip(bytes.substr(half.size()))).facts().points,
              4u);
  }
}

TEST(Formats, LineEndsOfEverySystem) {
  for (const auto& [name, bytes] : sample_files()) {
    if (name.starts_with("little") || name.starts_with("big") || name.starts_with("double") ||
        name.starts_with("binary"))
      continue;
    for (const char* line_end : {"\r\n", "\r"}) {
      std::string changed;
      for (const char c : bytes) changed += c == '\n' ? line_end : std::string(1, c);
      SCOPED_TRACE(name);
      EXPECT_EQ(open_bytes(name, changed).facts().points, 4u);
    }
  }
}

TEST(Ply, BinaryWithALoneCarriageReturnAndABodyThatStartsLikeALineEnd) {
  std::string header = ply_header("binary_little_endian",
                                  "element vertex 1\nproperty uchar t\n"
                                  "property float x\nproperty float y\nproperty float z\n");
  expect_points(open_bytes("unix.ply", header + "\n" + raw(1.f, 2.f, 3.f)), {{1, 2, 3}});
}

TEST(Ply, EveryScalarTypeOfCoordinate) {
  const auto one = [](const std::string& type, const std::string& body, const char* format) {
    return open_bytes("types.ply", ply_header(format, vertex_element(type, 1)) + body);
  };
  const char* le = "binary_little_endian";
  const char* be = "binary_big_endian";
  using i8 = std::int8_t;
  using u8 = std::uint8_t;
  using i16 = std::int16_t;
  using u16 = std::uint16_t;
  using i32 = std::int32_t;
  using u32 = std::uint32_t;
  expect_points(one("char", raw(i8{-1}, i8{2}, i8{-128}), le), {{-1, 2, -128}});
  expect_points(one("uint8", raw(u8{1}, u8{2}, u8{255}), be), {{1, 2, 255}});
  expect_points(one("short", raw(i16{-300}, i16{2}, i16{3}), le), {{-300, 2, 3}});
  expect_points(one("int16", raw_big(i16{-300}, i16{2}, i16{3}), be), {{-300, 2, 3}});
  expect_points(one("ushort", raw_big(u16{65535}, u16{2}, u16{3}), be), {{65535, 2, 3}});
  expect_points(one("int", raw(i32{-70000}, i32{2}, i32{3}), le), {{-70000, 2, 3}});
  expect_points(one("uint32", raw_big(u32{4000000000u}, u32{2}, u32{3}), be), {{4e9, 2, 3}});
  expect_points(one("float64", raw_big(0.1, 0.2, 0.3), be), {{0.1, 0.2, 0.3}});
  EXPECT_EQ(one("short", raw(i16{1}, i16{2}, i16{3}), le).facts().scalar, ScalarType::integer);
  EXPECT_EQ(one("double", raw(1., 2., 3.), le).facts().scalar, ScalarType::float64);
}

TEST(Ply, PropertiesOfAnyTypeAroundMixedCoordinates) {
  const std::string header =
      ply_header("binary_big_endian",
                 "element vertex 2\nproperty uchar red\nproperty double z\nproperty short q\n"
                 "property float x\nproperty int y\nproperty uchar alpha\n");
  const auto row = [](float x, std::int32_t y, double z) {
    return raw_big(std::uint8_t{9}, z, std::int16_t{-1}, x, y, std::uint8_t{7});
  };
  expect_points(open_bytes("mixed.ply", header + row(0.5f, -4, 0.1) + row(1.5f, 5, 0.2)),
                {{0.5, -4, 0.1}, {1.5, 5, 0.2}});
}

TEST(Ply, ListsInsideVerticesAndElementsBeforeAndAfter) {
  const std::string elements =
      "element camera 2\nproperty list uchar float k\nproperty int id\n"
      "element vertex 2\nproperty list uchar short tags\nproperty float x\nproperty float y\n"
      "property float z\nelement face 1\nproperty list int int vertex_indices\n";
  const std::string binary = raw(std::uint8_t{2}, 1.f, 2.f, 5, std::uint8_t{0}, 6) +
                             raw(std::uint8_t{1}, std::int16_t{3}, 1.f, 2.f, 3.f) +
                             raw(std::uint8_t{0}, 4.f, 5.f, 6.f) + raw(3, 0, 1, 0);
  const Scan scan = open_bytes("lists.ply", ply_header("binary_little_endian", elements) + binary);
  expect_points(scan, {{1, 2, 3}, {4, 5, 6}});
  EXPECT_EQ(scan.facts().faces, 1u);
  EXPECT_EQ(scan.facts().trailing, 0u);
  const std::string text = "2 1 2 5\n0 6\n1 3 1 2 3\n0 4 5 6\n3 0 1 0\n";
  expect_points(open_bytes("lists.ply", ply_header("ascii", elements) + text),
                {{1, 2, 3}, {4, 5, 6}});
}

TEST(Ply, HeaderFactsAndTrailingData) {
  std::string file = float_ply(kCorners,
                               "comment serial R12-0007\nobj_info num_cols 2\n"
                               "obj_info num_rows 2\ncomment  two  blanks\n");
  const Scan scan = open_bytes("facts.ply", file + "more");
  EXPECT_THAT(scan.facts().comments,
              testing::ElementsAre("serial R12-0007", "num_cols 2", "num_rows 2", " two  blanks"));
  EXPECT_EQ(scan.facts().columns, 2u);
  EXPECT_EQ(scan.facts().rows, 2u);
  EXPECT_EQ(scan.facts().trailing, 4u);
  EXPECT_EQ(scan.facts().format, "PLY binary little-endian");
  EXPECT_EQ(open_bytes("padded.ply", file + std::string(4095, 0)).facts().trailing, 0u);
  EXPECT_EQ(open_bytes("pages.ply", file + std::string(4096, 0)).facts().trailing, 4096u);
  const auto text = sample_files()["ascii.ply"] + "1 2 3\n\n4 5 6\n";
  EXPECT_EQ(open_bytes("more.ply", text).facts().trailing, 2u);
}

TEST(Ply, NonFinitePointsAreCountedAndLeftOut) {
  const double inf = std::numeric_limits<double>::infinity();
  const Scan scan = open_bytes(
      "nan.ply", float_ply({{1, 2, 3}, {kNaN, 0, 0}, {0, inf, 0}, {0, 0, -inf}, {4, 5, 6}}));
  expect_points(scan, {{1, 2, 3}, {4, 5, 6}});
  EXPECT_EQ(scan.facts().dropped, 3u);
  EXPECT_EQ(scan.facts().box.hi, Vec3(4, 5, 6));
  const Scan text =
      open_bytes("nan.xyz", "1 2 3\nnan NaN -nan\n1 inf 2\n-1.#IND 1.#QNAN 0\n+4 5 6e0\n");
  expect_points(text, {{1, 2, 3}, {4, 5, 6}});
  EXPECT_EQ(text.facts().dropped, 3u);
}

// Differences and squares of such numbers overflow: a point there is no finite point.
TEST(Ply, NumbersThatNoFloatHoldsAreNoCoordinates) {
  const double most = std::numeric_limits<float>::max();
  const Xyz written = {
      {1e300, 0, 0}, {4, 5, 6}, {most, -most, 0}, {0, -1e39, 0}, {1, 2, 3}, {1, 1, 1}};
  std::string doubles = ply_header("binary_little_endian", vertex_element("double", 6)), text;
  for (const auto& [x, y, z] : written) {
    doubles += raw(x, y, z);
    for (const double v : {x, y, z}) text += exact(v) + " ";
    text += "\n";
  }
  for (const Scan& scan : {open_bytes("large.ply", doubles), open_bytes("large.xyz", text)}) {
    EXPECT_EQ(scan.facts().dropped, 2u);
    expect_points(scan, {{4, 5, 6}, {most, -most, 0}, {1, 2, 3}, {1, 1, 1}});
    EXPECT_EQ(scan.sample().size(), 4u);
  }
}

TEST(Ply, NumbersNextToZeroAreCoordinates) {
  const double least = std::numeric_limits<double>::denorm_min();
  std::string doubles = ply_header("binary_little_endian", vertex_element("double", 3));
  for (const double v : {least, 0.0, 3 * least, -least, 1e-310, 0.0, 1e-310, -1e-300, least})
    doubles += raw(v);
  expect_points(open_bytes("small.ply", doubles),
                {{least, 0, 3 * least}, {-least, 1e-310, 0}, {1e-310, -1e-300, least}});
}

TEST(Ply, WrittenFilesReadBackExactly) {
  const fs::path folder = scratch("writer");
  Points points;
  points.origin = Vec3(600, -20, 1e5);
  for (int i = 0; i < 1000; ++i) points.push(Vec3(600 + i / 7.0, -20 - i / 3.0, 1e5 + i / 11.0));
  for (const bool doubles : {false, true}) {
    PlyOptions options{
        .doubles = doubles, .columns = 100, .rows = 10, .faces = 2, .comments = {"a\nb"}};
    PlyWriter writer(folder / "a.ply", points.size(), options);
    writer.add(points);
    EXPECT_FALSE(fs::exists(folder / "a.ply"));
    writer.add_face({0, 1, 2});
    writer.add_face({1, 2, 3});
    writer.finish();
    const Scan scan = Scan::open(folder / "a.ply");
    EXPECT_EQ(scan.facts().comments.front(), "a b");
    EXPECT_EQ(scan.facts().columns, 100u);
    EXPECT_EQ(scan.facts().faces, 2u);
    EXPECT_EQ(scan.facts().trailing, 0u);
    const Points back = scan.all();
    ASSERT_EQ(back.size(), points.size());
    for (std::size_t i = 0; i < back.size(); ++i) {
      for (int c = 0; c < 3; ++c) {
        const double exact = points.at(i)[c];
        EXPECT_NEAR(back.at(i)[c], doubles ? exact : double{static_cast<float>(exact)}, 1e-11);
      }
    }
    fs::remove(folder / "a.ply");
  }
  {
    PlyWriter abandoned(folder / "b.ply", 3);
  }
  EXPECT_THROW(PlyWriter(folder / "c.ply", 1).finish(), Error);
  EXPECT_TRUE(fs::is_empty(folder));
}

TEST(Pcd, FieldsInAnyOrderWithCountsAndDoubles) {
  const std::string header =
      "VERSION .7\nFIELDS rgb z hist y _ x\nSIZE 4 8 2 8 1 8\nTYPE U F I F U F\n"
      "COUNT 1 1 3 1 5 1\nWIDTH 2\nHEIGHT 1\nPOINTS 2\n";
  const auto row = [](double x, double y, double z) {
    const std::int16_t h = 7;
    return raw(std::uint32_t{1}, z, h, h, h, y) + std::string(5, 'p') + raw(x);
  };
  const Xyz expected = {{0.1, 0.2, 0.3}, {4, 5, 6}};
  const Scan scan =
      open_bytes("any.pcd", header + "DATA binary\n" + row(0.1, 0.2, 0.3) + row(4, 5, 6));
  expect_points(scan, expected);
  EXPECT_EQ(scan.facts().scalar, ScalarType::float64);
  expect_points(open_bytes("any.pcd",
                           header + "DATA ascii\n9 0.3 7 7 7 0.2 1 2 3 4 5 0.1\n"
                                    "9 6 7 7 7 5 1 2 3 4 5 4\n"),
                expected);
  // Compressed: field after field, each for all points.
  std::string fields = raw(std::uint32_t{1}, std::uint32_t{1}, 0.3, 6.0) + std::string(12, 'h') +
                       raw(0.2, 5.0) + std::string(10, 'p') + raw(0.1, 4.0);
  std::string packed(200, '\0');
  packed.resize(
      lzf_compress(fields.data(), static_cast<unsigned>(fields.size()), packed.data(), 200));
  ASSERT_FALSE(packed.empty());
  expect_points(open_bytes("any.pcd",
                           header + "DATA binary_compressed\n" +
                               raw(static_cast<std::uint32_t>(packed.size()),
                                   static_cast<std::uint32_t>(fields.size())) +
                               packed),
                expected);
}

TEST(Stl, NegativeZeroEqualsZeroAndBinaryMayBeginWithSolid) {
  std::string stl = "solid but binary";
  stl.resize(80, ' ');
  stl += raw(std::uint32_t{1},
             0.f,
             0.f,
             1.f,
             0.f,
             1.f,
             2.f,
             -0.f,
             1.f,
             2.f,
             3.f,
             4.f,
             5.f,
             std::uint16_t{0});
  const Scan scan = open_bytes("zero.stl", stl);
  expect_points(scan, {{0, 1, 2}, {3, 4, 5}});
  EXPECT_EQ(scan.facts().merged, 1u);
  EXPECT_THAT(scan.facts().comments, testing::ElementsAre("solid but binary"));
}

TEST(Off, Variants) {
  const Xyz expected = {{1, 2, 3}, {4, 5, 6}};
  for (const char* text : {"OFF 2 0 0\n1 2 3\n4 5 6\n",
                           "# made by hand\nOFF # title\n\n2 0 0 # counts\n1 2 3\n# pause\n4 5 6\n",
                           "COFF\n2 0 0\n1 2 3 255 0 0 255\n4 5 6 0 0 0 1\n",
                           "NOFF\n2 0\n1 2 3 0 0 1\n4 5 6 0 0 1\n",
                           "STCNOFF\n2 0 0\n1 2 3 0 0 1 9 9 9 9 0 0\n4 5 6 0 0 1 9 9 9 9 0 0\n",
                           "2 0 0\n1 2 3\n4 5 6\n"})
    expect_points(open_bytes("variant.off", text), expected);
  EXPECT_THROW(open_bytes("four.off", "4OFF\n1 0 0\n1 2 3 4\n"), Error);
  EXPECT_THROW(open_bytes("binary.off", "OFF BINARY\n1 0 0\n"), Error);
}

TEST(Obj, IgnoresWhatIsNoVertexAndRefusesWhatIsNoObj) {
  const char* text =
      "# scan\nmtllib a.mtl\no part\nv 1 2 3 0.5 0.5 0.5\nvn 0 0 1\nvt 0 0\nv 4 5 6\n"
      "g a\ns off\nusemtl m\nf 1/1/1 2/1/1 1//1\nl 1 2\n";
  const Scan scan = open_bytes("a.obj", text);
  expect_points(scan, {{1, 2, 3}, {4, 5, 6}});
  EXPECT_EQ(scan.facts().faces, 1u);
  EXPECT_THAT(scan.facts().comments, testing::ElementsAre("scan"));
  EXPECT_THROW(open_bytes("a.obj", "v 1 2 3\nvertex 4 5 6\n"), Error);
  EXPECT_THROW(open_bytes("a.obj", "# nothing\nvn 0 0 1\n"), Error);
}

/// Text → the points that a careful reader sees in it.
TEST(Table, SeparatorsHeadersAndComments) {
  const Xyz e = {{1.5, 2, -3}, {4, 5.25, 6e2}};
  const std::pair<const char*, Xyz> cases[] = {
      {"1.5 2 -3\n4 5.25 6e2\n", e},
      {"  1.5\t 2   -3 \n\n4 5.25 6e2", e},
      {"1.5,2,-3\n4,5.25,6e2\n", e},
      {"1.5, 2, -3, 255\n4, 5.25, 6e2, 255\n", e},
      {"1.5;2;-3\n4;5.25;6e2\n", e},
      {"1,5;2;-3\n4;5,25;6e2\n", e},
      {"1.5\t2\t-3\tA B\n4\t5.25\t6e2\tC\n", e},
      {"\xEF\xBB\xBFx,y,z\n1.5,2,-3\n4,5.25,6e2\n", e},
      {"# made by hand\n// second\n; third\n1.5 2 -3\n# between\n4 5.25 6e2\n", e},
      {"Scan of the bar\nunits: mm\nX Y Z\n1.5 2 -3\n4 5.25 6e2\n", e},
      {"//X,Y,Z,R\n1.5,2,-3,9\n4,5.25,6e2,9\n", e},
      {"i,Z [mm],Y [mm],X [mm]\n0,-3,2,1.5\n1,6e2,5.25,4\n", e},
      {"solid,x,y,z,width\na,1.5,2,-3,9\nb,4,5.25,6e2,9\n", e},
      {"axis,actual,other,third\nX,1.5,2,-3\nY,4,5.25,6e2\n", e},
      {"\"name\",\"x\",\"y\",\"z\"\n\"a, b\",\"1.5\",\"2\",\"-3\"\n\"c\",4,5.25,6e2\n", e},
      {"P1 1.5 2 -3\nP2 4 5.25 6e2\n", e},
      {"2\n1.5 2 -3 100 1 2 3\n4 5.25 6e2 100 1 2 3\n", e},
      {"1\n1.5 2 -3\n1\n4 5.25 6e2\n", e}};
  for (const auto& [text, expected] : cases) {
    SCOPED_TRACE(text);
    expect_points(open_bytes("table.txt", text), expected);
  }
}

TEST(Table, RefusesWhatCouldMeanTwoThings) {
  const std::pair<const char*, const char*> cases[] = {
      {"1,5 2,5 3,5\n", ":1: the commas may be decimal marks or separators"},
      {"1,5;2,5;3,5\n1,5;2.5;3,5\n", ":2: "},
      {"1.5;2.5;3.5\n1,5;2,5;3,5\n", ":2: "},
      {"1 2 3\n4 5 six\n", ":2: \"six\" is not a number"},
      {"1 2 3\n4 5\n", ":2: the line has 2 values"},
      {"1,2,3\n4,5\n", ":2: fewer columns"},
      {"1,2,3\n4,,6\n", ":2: \"\" is not a number"},
      {"1 2\n3 4\n", "no line holds three numbers"},
      {"hello\n", "no line holds three numbers"},
      {"\xFF\xFE"
       "1\0 \0",
       "UTF-16"}};
  for (const auto& [text, what] : cases) {
    SCOPED_TRACE(text);
    try {
      open_bytes("bad.csv", text);
      ADD_FAILURE() << "accepted";
    } catch (const Error& e) {
      EXPECT_EQ(e.kind(), ErrorKind::data);
      EXPECT_THAT(e.what(), testing::HasSubstr(what));
      EXPECT_FALSE(e.next_step().empty());
    }
  }
}

/// Many chunks: lines that cross their borders are read once, and errors carry the right line.
TEST(Table, LongFilesInParallel) {
  std::string text;
  const int n = 120'000;
  for (int i = 0; i < n; ++i)
    text += std::to_string(i) + " " + std::to_string(i * 0.5) + " " + std::to_string(-i) + "\r\n";
  ASSERT_GT(text.size(), 3u << 20);
  const Scan scan = open_bytes("long.xyz", text);
  const Points p = scan.all();
  ASSERT_EQ(p.size(), static_cast<std::size_t>(n));
  for (int i = 0; i < n; ++i) ASSERT_EQ(p.at(i), Vec3(i, i * 0.5, -i));
  text.replace(text.rfind("99999 "), 5, "9x999");
  try {
    open_bytes("long.xyz", text);
    FAIL();
  } catch (const Error& e) {
    EXPECT_THAT(e.what(), testing::HasSubstr("long.xyz:100000: \"9x999\" is not a number"));
  }
}

}  // namespace
}  // namespace rigproof
