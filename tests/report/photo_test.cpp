// Photographs: upright, small, and nothing in them but the picture.
#include "report/photo.h"

#include <array>
#include <filesystem>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <png.h>

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
