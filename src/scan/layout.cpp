#include "scan/layout.h"

#include <bit>
#include <cmath>
#include <cstring>
#include <limits>
#include <type_traits>

namespace rigproof {
namespace {

static_assert(std::endian::native == std::endian::little, "big-endian hosts are not supported");

template <class T, bool kSwap>
T load(const char* p) {
  if constexpr (!kSwap || sizeof(T) == 1) {
    T value;
    std::memcpy(&value, p, sizeof(T));
    return value;
  } else {
    char swapped[sizeof(T)];
    for (std::size_t i = 0; i < sizeof(T); ++i) swapped[i] = p[sizeof(T) - 1 - i];
    T value;
    std::memcpy(&value, swapped, sizeof(T));
    return value;
  }
}

/// No coordinate: differences and squares of such numbers overflow.
double within_float(double value) {
  static constexpr double kMost = std::numeric_limits<float>::max();
  return std::abs(value) <= kMost ? value : std::numeric_limits<double>::quiet_NaN();
}

template <class T, bool kSwap, class Out>
void column(const char* data, std::size_t stride, std::size_t n, Out* out) {
  for (std::size_t i = 0; i < n; ++i, data += stride) {
    const T value = load<T, kSwap>(data);
    if constexpr (std::is_same_v<T, double>)
      out[i] = within_float(value);
    else
      out[i] = static_cast<Out>(value);
  }
}

template <bool kSwap>
void column_as_double(
    Numeric type, const char* data, std::size_t stride, std::size_t n, double* out) {
  switch (type) {
    case Numeric::i8:
      return column<std::int8_t, kSwap>(data, stride, n, out);
    case Numeric::u8:
      return column<std::uint8_t, kSwap>(data, stride, n, out);
    case Numeric::i16:
      return column<std::int16_t, kSwap>(data, stride, n, out);
    case Numeric::u16:
      return column<std::uint16_t, kSwap>(data, stride, n, out);
    case Numeric::i32:
      return column<std::int32_t, kSwap>(data, stride, n, out);
    case Numeric::u32:
      return column<std::uint32_t, kSwap>(data, stride, n, out);
    case Numeric::i64:
      return column<std::int64_t, kSwap>(data, stride, n, out);
    case Numeric::u64:
      return column<std::uint64_t, kSwap>(data, stride, n, out);
    case Numeric::f32:
      return column<float, kSwap>(data, stride, n, out);
    case Numeric::f64:
      return column<double, kSwap>(data, stride, n, out);
  }
}

}  // namespace

std::size_t size_of(Numeric type) {
  static constexpr std::size_t kSize[] = {1, 1, 2, 2, 4, 4, 8, 8, 4, 8};
  return kSize[static_cast<std::size_t>(type)];
}

Layout Layout::packed(Numeric type) {
  const auto size = static_cast<std::uint32_t>(size_of(type));
  return {{type, type, type}, {0, size, 2 * size}, 3 * size, false};
}

void unpack(const Layout& layout, const char* data, std::size_t n, float* x, float* y, float* z) {
  float* out[] = {x, y, z};
  for (int c = 0; c < 3; ++c) {
    const char* from = data + layout.offset[c];
    if (layout.big_endian)
      column<float, true>(from, layout.stride, n, out[c]);
    else
      column<float, false>(from, layout.stride, n, out[c]);
  }
}

void unpack(
    const Layout& layout, const char* data, std::size_t n, double* x, double* y, double* z) {
  double* out[] = {x, y, z};
  for (int c = 0; c < 3; ++c) {
    const char* from = data + layout.offset[c];
    if (layout.big_endian)
      column_as_double<true>(layout.type[c], from, layout.stride, n, out[c]);
    else
      column_as_double<false>(layout.type[c], from, layout.stride, n, out[c]);
  }
}

double number_at(const char* data, Numeric type, bool big_endian) {
  double value = 0;
  if (big_endian)
    column_as_double<true>(type, data, 0, 1, &value);
  else
    column_as_double<false>(type, data, 0, 1, &value);
  return value;
}

}  // namespace rigproof
