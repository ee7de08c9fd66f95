#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace rigproof {

/// A picture of pixels, 8-bit RGB, row by row from the top left.
struct Raster {
  int width = 0, height = 0;
  std::vector<std::uint8_t> rgb;
};

/// Decoded JPEG (ISO/IEC 10918-1) or PNG (ISO/IEC 15948), turned upright as an Exif orientation
/// says. Transparent pixels lie on white. A JPEG may come reduced to ½, ¼ or ⅛, never below
/// `side`. nullopt for anything else, for damaged files, for a JPEG of more than a hundred scans
/// and for more pixels than allowed_pixels() or `most_pixels`.
std::optional<Raster> decode(const std::string& file, int side, std::uint64_t most_pixels);
std::optional<Raster> decode(const std::string& file, int side);

/// How many pixels a file of so many bytes may hold. Memory and time go with the pixels that a file
/// declares, and a few hundred bytes can declare any number.
std::uint64_t allowed_pixels(std::size_t bytes);

/// Averaged down so that no side is longer than `side`; never made larger.
Raster reduced(const Raster& image, int side);

/// Baseline JPEG without metadata.
std::string encode_jpeg(const Raster& image, int quality);

/// Orientation 1 … 8 of an Exif block (APP1 of a JPEG: "Exif", two zeros, a TIFF header; tag
/// 0x0112, CIPA DC-008); 1 when there is none or the block is damaged.
int exif_orientation(const std::string& block);

/// The picture turned upright.
Raster upright(const Raster& image, int orientation);

}  // namespace rigproof
