#include "report/raster.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <csetjmp>
#include <cstdio>
#include <cstdlib>
#include <cstring>

#include <jpeglib.h>
#include <png.h>

#include "base/error.h"

namespace rigproof {
namespace {

// Common practice, without a source: photographs have 3 to 25 pixels a byte; drawings of few
// colours have more, and are small.
constexpr std::uint64_t kPixelsPerByte = 100, kAlwaysAllowed = 16'000'000,
                        kMostPixels = 100'000'000;
// libjpeg's own script for a progressive picture in colour has ten (from memory). Each scan may
// visit every block of the picture, whatever its length.
constexpr int kMostScans = 100;

// libjpeg's way to report an error is a call that must not return.
struct JpegErrors {
  jpeg_error_mgr base;
  std::jmp_buf back;
};
void leave(j_common_ptr info) { std::longjmp(reinterpret_cast<JpegErrors*>(info->err)->back, 1); }
void be_quiet(j_common_ptr, int) {}

jpeg_error_mgr* quiet_errors(JpegErrors& errors) {
  jpeg_std_error(&errors.base);
  errors.base.error_exit = leave;
  errors.base.emit_message = be_quiet;
  return &errors.base;
}

void end_at_many_scans(j_common_ptr info) {
  if (reinterpret_cast<j_decompress_ptr>(info)->input_scan_number > kMostScans) leave(info);
}

// Nothing with a destructor is made between setjmp and a possible jump.
bool read_jpeg(
    const std::string& file, int side, std::uint64_t most, Raster& out, std::string& exif) {
  jpeg_decompress_struct info;
  JpegErrors errors;
  jpeg_progress_mgr progress{};
  progress.progress_monitor = end_at_many_scans;
  info.err = quiet_errors(errors);
  jpeg_create_decompress(&info);
  info.progress = &progress;
  if (setjmp(errors.back)) {
    jpeg_destroy_decompress(&info);
    return false;
  }
  jpeg_mem_src(&info, reinterpret_cast<const unsigned char*>(file.data()), file.size());
  jpeg_save_markers(&info, JPEG_APP0 + 1, 0xffff);
  jpeg_read_header(&info, TRUE);
  for (auto m = info.marker_list; m; m = m->next)
    if (exif.empty()) exif.assign(reinterpret_cast<const char*>(m->data), m->data_length);
  if (std::uint64_t{info.image_width} * info.image_height <= most) {
    info.out_color_space = JCS_RGB;
    info.dct_method = JDCT_ISLOW;
    for (unsigned by = 8; by > 1 && info.scale_denom == 1; by /= 2)
      if (std::max(info.image_width, info.image_height) / by >= static_cast<unsigned>(side))
        info.scale_denom = by;
    jpeg_start_decompress(&info);
    out.width = static_cast<int>(info.output_width);
    out.height = static_cast<int>(info.output_height);
    out.rgb.resize(std::size_t{3} * info.output_width * info.output_height);
    while (info.output_scanline < info.output_height) {
      JSAMPROW row = out.rgb.data() + std::size_t{3} * info.output_width * info.output_scanline;
      jpeg_read_scanlines(&info, &row, 1);
    }
    jpeg_finish_decompress(&info);
  }
  jpeg_destroy_decompress(&info);
  return !out.rgb.empty();
}

constexpr std::size_t kSignature = 8;  // bytes before the first chunk of a PNG

std::size_t big_endian(const std::string& bytes, std::size_t at) {
  std::size_t value = 0;
  for (std::size_t i = 0; i < 4; ++i)
    value = value << 8 | static_cast<unsigned char>(bytes[at + i]);
  return value;
}

// Lower case marks what a decoder may leave out; of that, these say what colours the pixels have.
bool is_needed(std::string_view type) {
  constexpr std::array<std::string_view, 5> of_color{"tRNS", "gAMA", "cHRM", "sRGB", "iCCP"};
  return (type[0] & 0x20) == 0 || std::ranges::find(of_color, type) != of_color.end();
}

// libpng's reader of whole pictures unpacks and keeps every text of a file, a thousand times its
// size, and can be given no limit: what the pixels do not need never reaches it.
std::string needed_chunks(const std::string& png) {
  std::string out = png.substr(0, kSignature);
  out.reserve(png.size());
  constexpr std::size_t around = 12;  // length, type and checksum
  for (std::size_t at = kSignature; png.size() - at >= around;) {
    const std::size_t size = std::min(big_endian(png, at) + around, png.size() - at);
    if (is_needed(std::string_view(png).substr(at + 4, 4))) out.append(png, at, size);
    at += size;
  }
  return out;
}

bool read_png(const std::string& whole, std::uint64_t most, Raster& out) {
  const std::string file = needed_chunks(whole);
  png_image image{};
  image.version = PNG_IMAGE_VERSION;
  if (!png_image_begin_read_from_memory(&image, file.data(), file.size())) return false;
  if (std::uint64_t{image.width} * image.height > most) {
    png_image_free(&image);
    return false;
  }
  image.format = PNG_FORMAT_RGB;
  out.width = static_cast<int>(image.width);
  out.height = static_cast<int>(image.height);
  out.rgb.resize(PNG_IMAGE_SIZE(image));
  const png_color white{255, 255, 255};
  return png_image_finish_read(&image, &white, out.rgb.data(), 0, nullptr) != 0;
}

unsigned number(const std::string& tiff, std::size_t at, int bytes, bool big) {
  unsigned value = 0;
  for (int i = 0; i < bytes; ++i) {
    const auto byte = static_cast<unsigned char>(tiff[at + static_cast<std::size_t>(i)]);
    value |= static_cast<unsigned>(byte) << (8 * (big ? bytes - 1 - i : i));
  }
  return value;
}

}  // namespace

int exif_orientation(const std::string& block) {
  if (block.size() < 14 || block.compare(0, 6, std::string("Exif\0\0", 6)) != 0) return 1;
  const std::string tiff = block.substr(6);
  const bool big = tiff[0] == 'M';
  const std::size_t directory = number(tiff, 4, 4, big);
  if (directory + 2 > tiff.size()) return 1;
  const unsigned entries = number(tiff, directory, 2, big);
  for (unsigned i = 0; i < entries; ++i) {
    const std::size_t entry = directory + 2 + 12 * std::size_t{i};
    if (entry + 12 > tiff.size()) return 1;
    if (number(tiff, entry, 2, big) != 0x0112) continue;
    const unsigned value = number(tiff, entry + 8, 2, big);
    return value >= 1 && value <= 8 ? static_cast<int>(value) : 1;
  }
  return 1;
}

Raster upright(const Raster& image, int orientation) {
  if (orientation <= 1 || orientation > 8) return image;
  const int w = image.width, h = image.height;
  const bool turned = orientation >= 5;
  Raster out{turned ? h : w, turned ? w : h, {}};
  out.rgb.resize(image.rgb.size());
  for (int y = 0; y < out.height; ++y) {
    for (int x = 0; x < out.width; ++x) {
      int sx = turned ? y : x, sy = turned ? x : y;
      if (orientation == 2 || orientation == 3 || orientation == 7 || orientation == 8)
        sx = w - 1 - sx;
      if (orientation == 3 || orientation == 4 || orientation == 6 || orientation == 7)
        sy = h - 1 - sy;
      const auto* from = &image.rgb[3 * (static_cast<std::size_t>(sy) * w + sx)];
      std::copy_n(from, 3, &out.rgb[3 * (static_cast<std::size_t>(y) * out.width + x)]);
    }
  }
  return out;
}

std::uint64_t allowed_pixels(std::size_t bytes) {
  return std::clamp(kPixelsPerByte * bytes, kAlwaysAllowed, kMostPixels);
}

std::optional<Raster> decode(const std::string& file, int side, std::uint64_t most_pixels) {
  const std::uint64_t most = std::min(most_pixels, allowed_pixels(file.size()));
  Raster image;
  std::string exif;
  if (file.starts_with("\xff\xd8\xff")) {
    if (!read_jpeg(file, side, most, image, exif)) return std::nullopt;
    return upright(image, exif_orientation(exif));
  }
  if (file.starts_with("\x89PNG\r\n\x1a\n") && read_png(file, most, image)) return image;
  return std::nullopt;
}

std::optional<Raster> decode(const std::string& file, int side) {
  return decode(file, side, kMostPixels);
}

Raster reduced(const Raster& image, int side) {
  const int longest = std::max(image.width, image.height);
  if (longest <= side) return image;
  const double step = static_cast<double>(longest) / side;
  Raster out{std::max(1, static_cast<int>(std::lround(image.width / step))),
             std::max(1, static_cast<int>(std::lround(image.height / step))),
             {}};
  out.rgb.reserve(std::size_t{3} * out.width * out.height);
  for (int y = 0; y < out.height; ++y) {
    const int y0 = static_cast<int>(std::int64_t{y} * image.height / out.height);
    const int y1 =
        std::max(y0 + 1, static_cast<int>((y + std::int64_t{1}) * image.height / out.height));
    for (int x = 0; x < out.width; ++x) {
      const int x0 = static_cast<int>(std::int64_t{x} * image.width / out.width);
      const int x1 =
          std::max(x0 + 1, static_cast<int>((x + std::int64_t{1}) * image.width / out.width));
      std::uint64_t sum[3] = {};
      for (int v = y0; v < y1; ++v)
        for (int u = x0; u < x1; ++u)
          for (int c = 0; c < 3; ++c)
            sum[c] += image.rgb[3 * (static_cast<std::size_t>(v) * image.width + u) + c];
      const auto n = static_cast<std::uint64_t>(y1 - y0) * static_cast<std::uint64_t>(x1 - x0);
      for (const std::uint64_t s : sum)
        out.rgb.push_back(static_cast<std::uint8_t>((s + n / 2) / n));
    }
  }
  return out;
}

std::string encode_jpeg(const Raster& image, int quality) {
  jpeg_compress_struct info;
  JpegErrors errors;
  unsigned char* bytes = nullptr;
  unsigned long size = 0;
  info.err = quiet_errors(errors);
  jpeg_create_compress(&info);
  if (setjmp(errors.back)) {
    jpeg_destroy_compress(&info);
    std::free(bytes);
    throw Error(ErrorKind::internal, "report: a photograph cannot be encoded");
  }
  jpeg_mem_dest(&info, &bytes, &size);
  info.image_width = static_cast<JDIMENSION>(image.width);
  info.image_height = static_cast<JDIMENSION>(image.height);
  info.input_components = 3;
  info.in_color_space = JCS_RGB;
  jpeg_set_defaults(&info);
  jpeg_set_quality(&info, quality, TRUE);
  info.dct_method = JDCT_ISLOW;
  jpeg_start_compress(&info, TRUE);
  while (info.next_scanline < info.image_height) {
    JSAMPROW row = const_cast<std::uint8_t*>(image.rgb.data()) +
                   std::size_t{3} * info.image_width * info.next_scanline;
    jpeg_write_scanlines(&info, &row, 1);
  }
  jpeg_finish_compress(&info);
  std::string out(reinterpret_cast<const char*>(bytes), size);
  jpeg_destroy_compress(&info);
  std::free(bytes);
  return out;
}

}  // namespace rigproof
