#pragma once

#include <cmath>
#include <cstddef>
#include <limits>

namespace rigproof {

/// Lowest and highest of v[0, n), and whether every one is finite: eight lanes, so that the
/// compiler can vectorise and the latency of a minimum does not count.
template <class T>
bool extremes(const T* v, std::size_t n, T& lo, T& hi) {
  static constexpr std::size_t kLanes = 8;
  T low[kLanes], high[kLanes], zero[kLanes];
  for (std::size_t j = 0; j < kLanes; ++j) {
    low[j] = std::numeric_limits<T>::max();
    high[j] = std::numeric_limits<T>::lowest();
    zero[j] = 0;
  }
  std::size_t i = 0;
  for (; i + kLanes <= n; i += kLanes)
    for (std::size_t j = 0; j < kLanes; ++j) {
      const T a = v[i + j];
      low[j] = a < low[j] ? a : low[j];
      high[j] = a > high[j] ? a : high[j];
      zero[j] += a - a;  // NaN for anything that is not finite
    }
  for (; i < n; ++i) {
    const T a = v[i];
    low[0] = a < low[0] ? a : low[0];
    high[0] = a > high[0] ? a : high[0];
    zero[0] += a - a;
  }
  T all = 0;
  lo = low[0];
  hi = high[0];
  for (std::size_t j = 0; j < kLanes; ++j) {
    lo = low[j] < lo ? low[j] : lo;
    hi = high[j] > hi ? high[j] : hi;
    all += zero[j];
  }
  return all == 0;
}

/// The same for n points of packed x y z floats at `data`, all three coordinates at once.
bool packed_extremes(const char* data, std::size_t n, float lo[3], float hi[3]);

/// Moves the finite points to the front, in order; returns their number.
template <class T>
std::size_t keep_finite(T* x, T* y, T* z, std::size_t n) {
  std::size_t kept = 0;
  for (std::size_t i = 0; i < n; ++i) {
    if (!std::isfinite(x[i]) || !std::isfinite(y[i]) || !std::isfinite(z[i])) continue;
    x[kept] = x[i];
    y[kept] = y[i];
    z[kept] = z[i];
    ++kept;
  }
  return kept;
}

}  // namespace rigproof
