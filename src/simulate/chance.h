#pragma once

#include <cmath>
#include <cstdint>
#include <numbers>

namespace rigproof {

/// Random numbers by place instead of by order: the same (seed, stream, index) gives the same
/// number whatever was drawn before, so that threads and blocks cannot change a scan. The mixer is
/// the finaliser of splitmix64 (Steele, Lea, Flood, OOPSLA 2014) over the combined key.
class Chance {
 public:
  explicit Chance(std::uint64_t seed, std::uint64_t stream = 0)
      : key_(mix(seed + 0x9E3779B97F4A7C15u * (stream + 1))) {}

  std::uint64_t bits(std::uint64_t index) const {
    return mix(key_ + 0x9E3779B97F4A7C15u * (index + 1));
  }
  /// Strictly between 0 and 1.
  double uniform(std::uint64_t index) const { return to_unit(bits(index)); }
  /// Between lo and hi.
  double uniform(std::uint64_t index, double lo, double hi) const {
    return lo + (hi - lo) * uniform(index);
  }
  /// Standard normal (Box and Muller).
  double normal(std::uint64_t index) const {
    const std::uint64_t b = bits(index);
    const double u = to_unit(b), v = to_unit(mix(b + 0xD1B54A32D192ED03u));
    return std::sqrt(-2 * std::log(u)) * std::cos(2 * std::numbers::pi * v);
  }
  /// An independent source.
  Chance stream(std::uint64_t n) const { return Chance(key_, n); }

 private:
  static std::uint64_t mix(std::uint64_t z) {
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    return z ^ (z >> 31);
  }
  static double to_unit(std::uint64_t b) { return (static_cast<double>(b >> 11) + 0.5) * 0x1p-53; }

  std::uint64_t key_;
};

}  // namespace rigproof
