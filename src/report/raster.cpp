#include "report/raster.h"

#include <algorithm>
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

constexpr double kMostPixels = 100e6;

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

// Nothing with a destructor is made between setjmp and a possible jump.
bool read_jpeg(const std::string& file, int side, Raster& out, std::string& exif) {
  jpeg_decompress_struct info;
  JpegErrors errors;
  info.err = quiet_errors(errors);
  jpeg_create_decompress(&info);
  if (setjmp(errors.back)) {
    jpeg_destroy_decompress(&info);
    return false;
  }
  jpeg_mem_src(&info, reinterpret_cast<const unsigned char*>(file.data()), file.size());
  jpeg_save_markers(&info, JPEG_APP0 + 1, 0xffff);
  jpeg_read_header(&info, TRUE);
  for (auto m = info.marker_list; m; m = m->next)
    if (exif.empty()) exif.assign(reinterpret_cast<const char*>(m->data), m->data_length);
  const double pixels = static_cast<double>(info.image_width) * info.image_height;
  if (pixels <= kMostPixels) {
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

bool read_png(const std::string& file, Raster& out) {
  png_image image{};
  image.version = PNG_IMAGE_VERSION;
  if (!png_image_begin_read_from_memory(&image, file.data(), file.size())) return false;
  if (static_cast<double>(image.width) * image.height > kMostPixels) {
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

std::optional<Raster> decode(const std::string& file, int side) {
  Raster image;
  std::string exif;
  if (file.starts_with("\xff\xd8\xff")) {
    if (!read_jpeg(file, side, image, exif)) return std::nullopt;
    return upright(image, exif_orientation(exif));
  }
  if (file.starts_with("\x89PNG\r\n") && read_png(file, image)) return image;
  return std::nullopt;
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
