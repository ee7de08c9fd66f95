// Photographs: upright, small, and nothing in them but the picture.
#include "report/photo.h"

#include <array>
#include <cstdio>
#include <cstdlib>
#include <filesystem>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <jpeglib.h>
#include <png.h>
#include <sys/resource.h>
#include <unistd.h>
#include <zlib.h>

#include "base/atomic_file.h"
#include "base/sha256.h"
#include "report/html_report.h"
#include "report/raster.h"
#include "report/sample_results.h"
#include "report/test_options.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;
using testing::Not;

using Color = std::array<int, 3>;
constexpr Color kRed{220, 20, 20}, kBlue{20, 20, 220};

void block(Raster& image, int x0, int y0, const Color& color) {
  for (int y = y0; y < y0 + 16; ++y)
    for (int x = x0; x < x0 + 16; ++x)
      for (int c = 0; c < 3; ++c)
        image.rgb[3 * static_cast<std::size_t>(y * image.width + x) + c] =
            static_cast<std::uint8_t>(color[c]);
}

/// Gray, red where row 0 meets column 0, blue at the other end of row 0.
Raster sample(int width = 96, int height = 64) {
  Raster image{width, height, std::vector<std::uint8_t>(std::size_t{3} * width * height, 128)};
  block(image, 0, 0, kRed);
  block(image, width - 16, 0, kBlue);
  return image;
}

bool has_color(const Raster& image, bool right, bool bottom, const Color& color) {
  const int x = right ? image.width - 8 : 8, y = bottom ? image.height - 8 : 8;
  for (int c = 0; c < 3; ++c)
    if (std::abs(image.rgb[3 * static_cast<std::size_t>(y * image.width + x) + c] - color[c]) > 24)
      return false;
  return true;
}

/// An Exif block as a camera writes it: orientation, and a place name in a comment.
std::string with_exif(const std::string& jpeg, int orientation, bool big_endian) {
  const auto number = [&](unsigned value, int bytes) {
    std::string out;
    for (int i = 0; i < bytes; ++i)
      out += static_cast<char>(value >> 8 * (big_endian ? bytes - 1 - i : i));
    return out;
  };
  std::string block = std::string("Exif\0\0", 6) + (big_endian ? "MM" : "II") + number(42, 2) +
                      number(8, 4) + number(1, 2) + number(0x0112, 2) + number(3, 2) +
                      number(1, 4) + number(static_cast<unsigned>(orientation), 2) + number(0, 2) +
                      number(0, 4) + "GPS 48.1,11.5 SECRET-SERIAL";
  const std::size_t length = block.size() + 2;
  return jpeg.substr(0, 2) + "\xff\xe1" + static_cast<char>(length >> 8) +
         static_cast<char>(length) + block + jpeg.substr(2);
}

// CIPA DC-008 (Exif 2.3), tag 0x0112: where the 0th row and the 0th column of the stored picture
// are when it is seen. (The table from memory.)
TEST(Photo, IsTurnedAsTheCameraSays) {
  struct Seen {
    bool right, bottom;
  };
  constexpr Seen red[] = {{false, false},
                          {true, false},
                          {true, true},
                          {false, true},
                          {false, false},
                          {true, false},
                          {true, true},
                          {false, true}};
  constexpr Seen blue[] = {{true, false},
                           {false, false},
                           {false, true},
                           {true, true},
                           {false, true},
                           {true, true},
                           {true, false},
                           {false, false}};
  const std::string jpeg = encode_jpeg(sample(), 95);
  for (int orientation = 1; orientation <= 8; ++orientation)
    for (const bool big_endian : {false, true}) {
      const auto image = decode(with_exif(jpeg, orientation, big_endian), 1200);
      ASSERT_TRUE(image);
      EXPECT_EQ(image->width, orientation >= 5 ? 64 : 96) << orientation;
      const Seen r = red[orientation - 1], b = blue[orientation - 1];
      EXPECT_TRUE(has_color(*image, r.right, r.bottom, kRed)) << orientation;
      EXPECT_TRUE(has_color(*image, b.right, b.bottom, kBlue)) << orientation;
    }
}

TEST(Photo, DamagedExifCountsAsNone) {
  const std::string jpeg = with_exif(encode_jpeg(sample(), 95), 6, true);
  const std::string exif = jpeg.substr(6, 60);
  EXPECT_EQ(exif_orientation(exif), 6);
  // The entry ends at byte 6 + 8 + 2 + 12.
  for (std::size_t cut = 0; cut < 28; ++cut) EXPECT_EQ(exif_orientation(exif.substr(0, cut)), 1);
  std::string far = exif;
  far.replace(10, 4, "\x7f\xff\xff\xff");
  EXPECT_EQ(exif_orientation(far), 1);
}

TEST(Photo, PngOnWhite) {
  png_image picture{};
  picture.version = PNG_IMAGE_VERSION;
  picture.width = picture.height = 2;
  picture.format = PNG_FORMAT_RGBA;
  const std::array<png_byte, 16> pixels{255, 0, 0, 255, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 255};
  std::string file(1000, '\0');
  png_alloc_size_t size = file.size();
  ASSERT_TRUE(
      png_image_write_to_memory(&picture, file.data(), &size, 0, pixels.data(), 0, nullptr));
  const auto image = decode(file.substr(0, size), 1200);
  ASSERT_TRUE(image);
  EXPECT_THAT(image->rgb, testing::ElementsAre(255, 0, 0, 255, 255, 255, 255, 255, 255, 0, 0, 0));
  for (std::size_t cut = 1; cut < size; cut += 3) decode(file.substr(0, size - cut), 1200);
}

TEST(Photo, ReducingKeepsTheMean) {
  Raster image = sample(640, 400);
  const Raster small = reduced(image, 160);
  EXPECT_EQ(small.width, 160);
  EXPECT_EQ(small.height, 100);
  double before = 0, after = 0;
  for (const auto v : image.rgb) before += v;
  for (const auto v : small.rgb) after += v;
  EXPECT_NEAR(before / image.rgb.size(), after / small.rgb.size(), 0.01);
  EXPECT_EQ(reduced(image, 640).rgb, image.rgb);
}

std::string png_of_gray(int width, int height) {
  png_image picture{};
  picture.version = PNG_IMAGE_VERSION;
  picture.width = static_cast<png_uint_32>(width);
  picture.height = static_cast<png_uint_32>(height);
  picture.format = PNG_FORMAT_GRAY;
  const std::vector<png_byte> pixels(static_cast<std::size_t>(width) * height, 128);
  std::string file(1u << 20, '\0');
  png_alloc_size_t size = file.size();
  EXPECT_TRUE(
      png_image_write_to_memory(&picture, file.data(), &size, 0, pixels.data(), 0, nullptr));
  return file.substr(0, size);
}

TEST(Photo, PixelsAreInProportionToTheFile) {
  EXPECT_EQ(allowed_pixels(0), 16'000'000u);
  EXPECT_EQ(allowed_pixels(300'000), 30'000'000u);
  EXPECT_EQ(allowed_pixels(64u << 20), 100'000'000u);
  // Whole pictures: what they declare is there, in a thousandth of the bytes.
  const std::string small = png_of_gray(4000, 3000), large = png_of_gray(5000, 4000);
  ASSERT_LT(large.size(), 150'000u);
  EXPECT_TRUE(decode(small, 1200));
  EXPECT_FALSE(decode(large, 1200));
  EXPECT_FALSE(decode(small, 1200, 1'000'000));
}

TEST(Photo, AFewHundredBytesAreNoHundredMegapixels) {
  std::string jpeg = encode_jpeg(sample(), 80);
  const std::size_t frame = jpeg.find("\xff\xc0");
  ASSERT_NE(frame, std::string::npos);
  // Of a frame header: marker, length, bits, height, width (ISO/IEC 10918-1, B.2.2).
  jpeg.replace(frame + 5, 4, "\x27\x10\x27\x10");
  EXPECT_FALSE(decode(jpeg, 1200));
}

/// A progressive JPEG with one scan for each coefficient of the cosine transform, as many as
/// wanted.
std::string jpeg_of_scans(int scans) {
  std::vector<jpeg_scan_info> script{{1, {0}, 0, 0, 0, 0}};
  for (int k = 1; k < 64; ++k) script.push_back({1, {0}, k, k, 0, 1});  // all but the last bit
  for (int k = 1; k < 64; ++k) script.push_back({1, {0}, k, k, 1, 0});
  jpeg_compress_struct info;
  jpeg_error_mgr errors;
  info.err = jpeg_std_error(&errors);
  jpeg_create_compress(&info);
  unsigned char* bytes = nullptr;
  unsigned long size = 0;
  jpeg_mem_dest(&info, &bytes, &size);
  info.image_width = info.image_height = 64;
  info.input_components = 1;
  info.in_color_space = JCS_GRAYSCALE;
  jpeg_set_defaults(&info);
  info.scan_info = script.data();
  info.num_scans = scans;
  jpeg_start_compress(&info, TRUE);
  for (int y = 0; y < 64; ++y) {
    std::array<JSAMPLE, 64> row;
    for (int x = 0; x < 64; ++x) row[x] = static_cast<JSAMPLE>(37 * x * y);
    JSAMPROW rows = row.data();
    jpeg_write_scanlines(&info, &rows, 1);
  }
  jpeg_finish_compress(&info);
  std::string out(reinterpret_cast<const char*>(bytes), size);
  jpeg_destroy_compress(&info);
  std::free(bytes);
  return out;
}

// Every scan goes over all blocks, in a few bytes.
TEST(Photo, AJpegOfTooManyScansIsNotRead) {
  EXPECT_TRUE(decode(jpeg_of_scans(64), 1200));
  EXPECT_TRUE(decode(jpeg_of_scans(100), 1200));
  EXPECT_FALSE(decode(jpeg_of_scans(102), 1200));
  EXPECT_FALSE(decode(jpeg_of_scans(127), 1200));
}

std::string png_chunk(const std::string& type, const std::string& content) {
  const auto number = [](std::size_t n) {
    std::string out;
    for (const int shift : {24, 16, 8, 0}) out += static_cast<char>(n >> shift);
    return out;
  };
  const std::string body = type + content;
  const auto sum = crc32(0, reinterpret_cast<const Bytef*>(body.data()), uInt(body.size()));
  return number(content.size()) + body + number(sum);
}

// Texts of a PNG unpack to a thousand times their size.
TEST(Photo, TextsOfAPngAreNeverUnpacked) {
  const std::string text(7'500'000, 'a');
  std::string packed(100'000, '\0');
  uLongf size = packed.size();
  ASSERT_EQ(compress(reinterpret_cast<Bytef*>(packed.data()),
                     &size,
                     reinterpret_cast<const Bytef*>(text.data()),
                     text.size()),
            Z_OK);
  std::string texts;
  for (int i = 0; i < 60; ++i)
    texts += png_chunk("zTXt", std::string("Comment\0\0", 9) + packed.substr(0, size));
  std::string file = png_of_gray(64, 48);
  const std::string plain = file;
  file.insert(33, texts);  // after the signature and the header
  const auto peak_kilobytes = [] {
    rusage use{};
    ::getrusage(RUSAGE_SELF, &use);
    return use.ru_maxrss;
  };
  const long before = peak_kilobytes();
  const auto image = decode(file, 1200);
  ASSERT_TRUE(image);
  EXPECT_EQ(image->rgb, decode(plain, 1200)->rgb);
  EXPECT_LT(peak_kilobytes() - before, 150'000);
}

// What says how the pixels are meant is kept.
TEST(Photo, ThePngOfAPaletteKeepsItsTransparency) {
  const std::string header("\x89PNG\r\n\x1a\n", 8);
  const std::string size("\0\0\0\2\0\0\0\1\x08\3\0\0\0", 13);  // 2 × 1 of a palette
  const std::string row("\0\0\1", 3);                          // no filter, entries 0 and 1
  std::string packed(100, '\0');
  uLongf n = packed.size();
  ASSERT_EQ(compress(reinterpret_cast<Bytef*>(packed.data()),
                     &n,
                     reinterpret_cast<const Bytef*>(row.data()),
                     row.size()),
            Z_OK);
  const std::string file = header + png_chunk("IHDR", size) +
                           png_chunk("PLTE", std::string("\xff\0\0\0\0\xff", 6)) +
                           png_chunk("tRNS", std::string("\0\xff", 2)) +
                           png_chunk("IDAT", packed.substr(0, n)) + png_chunk("IEND", "");
  const auto image = decode(file, 1200);
  ASSERT_TRUE(image);
  EXPECT_THAT(image->rgb, testing::ElementsAre(255, 255, 255, 0, 0, 255));
  for (std::size_t cut = 1; cut < file.size(); ++cut) decode(file.substr(0, cut), 1200);
  std::string boastful = file;
  boastful.replace(8, 4, "\xff\xff\xff\xff");
  EXPECT_FALSE(decode(boastful, 1200));
}

struct Folder {
  fs::path path = fs::path(testing::TempDir()) / ("photos_" + std::to_string(::getpid()));
  Folder() { fs::create_directories(path); }
  ~Folder() { fs::remove_all(path); }
};

TEST(Photos, AreHashedAsTheyAreAndShownWithoutWhatTheCameraWrote) {
  const Folder folder;
  const std::string file = with_exif(encode_jpeg(sample(2400, 1600), 90), 6, false);
  write_atomically(folder.path / "b <i>.JPG", file);
  write_atomically(folder.path / "a.png", "no picture");
  write_atomically(folder.path / "notes.txt", "not a photograph");
  fs::create_symlink("/etc/hostname", folder.path / "c.jpg");
  const auto photos = load_photos(folder.path);
  ASSERT_EQ(photos.size(), 2u);
  EXPECT_EQ(photos[0].name, "a.png");
  EXPECT_EQ(photos[0].jpeg, "");
  EXPECT_EQ(photos[1].sha256, sha256_hex(file));
  EXPECT_EQ(photos[1].width, 800);
  EXPECT_EQ(photos[1].height, kPhotoSide);
  EXPECT_THAT(photos[1].jpeg, Not(HasSubstr("Exif")));
  EXPECT_THAT(photos[1].jpeg, Not(HasSubstr("SECRET")));

  ReportOptions options = test_options();
  options.photos = photos;
  const std::string page = html_report(sample_results(), options);
  EXPECT_THAT(page, HasSubstr("alt=\"b &lt;i&gt;.JPG\""));
  EXPECT_THAT(page, HasSubstr(photos[1].sha256));
  EXPECT_THAT(page, HasSubstr(photos[0].sha256));
}

TEST(Photos, StopAtTheirBudget) {
  const Folder folder;
  for (const char* name : {"a.jpg", "b.jpg", "c.jpg"})
    write_atomically(folder.path / name, encode_jpeg(sample(600, 400), 90));
  const auto all = load_photos(folder.path);
  ASSERT_EQ(all.size(), 3u);
  const auto some = load_photos(folder.path, 2 * all[0].jpeg.size());
  EXPECT_FALSE(some[1].jpeg.empty());
  EXPECT_TRUE(some[2].jpeg.empty());
  EXPECT_FALSE(some[2].sha256.empty());
}

TEST(Photos, NoFolderNoPhotos) { EXPECT_TRUE(load_photos("/nowhere/at/all").empty()); }

TEST(Photos, DamagedFilesNeverEndTheRun) {
  const std::string file = encode_jpeg(sample(200, 100), 80);
  for (std::size_t at = 3; at < file.size(); at += 7) {
    std::string bad = file;
    bad[at] = static_cast<char>(bad[at] ^ 0x55);
    decode(bad, 1200);
    decode(file.substr(0, at), 1200);
  }
}

}  // namespace
}  // namespace rigproof
