#pragma once

#include <array>
#include <cmath>
#include <cstdint>

namespace rigproof {

/// xoshiro256** (Blackman and Vigna, ACM TOMS 47 (2021) 36), seeded by splitmix64: the same numbers
/// with every standard library, which std::normal_distribution does not promise.
class Random {
 public:
  Random(std::uint64_t seed, std::uint64_t stream) {
    std::uint64_t s = seed + 0x9E3779B97F4A7C15u * (stream + 1);
    for (std::uint64_t& word : state_) word = split_mix(s);
  }

  std::uint64_t bits() {
    const std::uint64_t result = rotate(state_[1] * 5, 7) * 9, t = state_[1] << 17;
    state_[2] ^= state_[0];
    state_[3] ^= state_[1];
    state_[1] ^= state_[2];
    state_[0] ^= state_[3];
    state_[2] ^= t;
    state_[3] = rotate(state_[3], 45);
    return result;
  }

  /// Strictly between 0 and 1.
  double uniform() { return (static_cast<double>(bits() >> 11) + 0.5) * 0x1p-53; }

  /// Standard normal, Marsaglia's polar method.
  double normal() {
    if (has_spare_) {
      has_spare_ = false;
      return spare_;
    }
    double u, v, s;
    do {
      u = 2 * uniform() - 1;
      v = 2 * uniform() - 1;
      s = u * u + v * v;
    } while (s >= 1 || s == 0);
    const double scale = std::sqrt(-2 * std::log(s) / s);
    spare_ = v * scale;
    has_spare_ = true;
    return u * scale;
  }

  /// Student t by the polar method (Bailey, Math. Comp. 62 (1994) 779).
  double student_t(double dof) {
    double u, v, s;
    do {
      u = 2 * uniform() - 1;
      v = 2 * uniform() - 1;
      s = u * u + v * v;
    } while (s >= 1 || s == 0);
    return u * std::sqrt(dof * (std::pow(s, -2 / dof) - 1) / s);
  }

 private:
  static std::uint64_t rotate(std::uint64_t x, int k) { return (x << k) | (x >> (64 - k)); }
  static std::uint64_t split_mix(std::uint64_t& s) {
    std::uint64_t z = (s += 0x9E3779B97F4A7C15u);
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    return z ^ (z >> 31);
  }

  std::array<std::uint64_t, 4> state_{};
  double spare_ = 0;
  bool has_spare_ = false;
};

}  // namespace rigproof
