#pragma once

#include <cstddef>
#include <cstdint>

namespace rigproof {

enum class Numeric : std::uint8_t { i8, u8, i16, u16, i32, u32, i64, u64, f32, f64 };

std::size_t size_of(Numeric type);

/// Where the three coordinates lie in each record.
struct Layout {
  Numeric type[3] = {Numeric::f64, Numeric::f64, Numeric::f64};
  std::uint32_t offset[3] = {0, 8, 16};
  std::uint32_t stride = 24;
  bool big_endian = false;

  /// All three are 32-bit floats: boxes and filters then work in float.
  bool is_float() const {
    return type[0] == Numeric::f32 && type[1] == Numeric::f32 && type[2] == Numeric::f32;
  }
  /// Nothing but x y z as 32-bit floats in the host's order.
  bool is_packed_float() const {
    return is_float() && stride == 12 && offset[0] == 0 && offset[1] == 4 && offset[2] == 8 &&
           !big_endian;
  }
  static Layout packed(Numeric type);
};

/// The widest record that is read by stride; wider ones are refused.
inline constexpr std::uint32_t kMaxStride = 16u << 10;

/// Records [0, n) at `data` to one array a coordinate. The float form needs layout.is_float().
/// Doubles beyond the range of a float become NaN.
void unpack(const Layout& layout, const char* data, std::size_t n, float* x, float* y, float* z);
void unpack(const Layout& layout, const char* data, std::size_t n, double* x, double* y, double* z);

/// One value of `type` at `data`.
double number_at(const char* data, Numeric type, bool big_endian);

}  // namespace rigproof
