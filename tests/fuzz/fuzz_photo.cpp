// A photograph or an Exif block: any bytes give a whole picture and an orientation, or none.
#include <cstdint>
#include <cstdlib>
#include <cstring>

#include <zlib.h>

#include "report/raster.h"

extern "C" std::size_t LLVMFuzzerMutate(std::uint8_t* data, std::size_t size, std::size_t most);

namespace {

using namespace rigproof;

constexpr std::uint64_t kMostPixels = 1u << 18;
constexpr int kSide = 48;

void require(bool holds) {
  if (!holds) std::abort();
}

void require_whole(const Raster& image) {
  require(image.width > 0 && image.height > 0);
  require(image.rgb.size() == std::size_t{3} * image.width * image.height);
}

std::uint32_t big_endian(const std::uint8_t* at) {
  return std::uint32_t{at[0]} << 24 | std::uint32_t{at[1]} << 16 | std::uint32_t{at[2]} << 8 |
         at[3];
}

// Makes the checksums of a PNG right again, so that what was changed gets past them.
void seal_chunks(std::uint8_t* data, std::size_t size) {
  constexpr std::size_t signature = 8, around = 12;
  if (size < signature || std::memcmp(data, "\x89PNG\r\n\x1a\n", signature) != 0) return;
  for (std::size_t at = signature; size - at >= around;) {
    const std::size_t length = big_endian(data + at);
    if (length > size - at - around) return;
    const auto sum = static_cast<std::uint32_t>(
        crc32(0, data + at + 4, static_cast<uInt>(length + 4)));  // of type and content
    for (int i = 0; i < 4; ++i)
      data[at + 8 + length + i] = static_cast<std::uint8_t>(sum >> (24 - 8 * i));
    at += length + around;
  }
}

}  // namespace

extern "C" std::size_t LLVMFuzzerCustomMutator(std::uint8_t* data,
                                               std::size_t size,
                                               std::size_t most,
                                               unsigned seed) {
  const std::size_t now = LLVMFuzzerMutate(data, size, most);
  if (seed % 8 != 0) seal_chunks(data, now);
  return now;
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string bytes(reinterpret_cast<const char*>(data), size);
  const int orientation = exif_orientation(bytes);
  require(orientation >= 1 && orientation <= 8);
  const auto image = decode(bytes, kSide, kMostPixels);
  if (!image) return 0;
  require_whole(*image);
  const Raster small = reduced(*image, kSide);
  require_whole(small);
  require(small.width <= kSide && small.height <= kSide);
  return 0;
}
