#include "scan/extremes.h"

#include <cstring>

namespace rigproof {
namespace {

// Vectors by name: left to itself the compiler keeps these lanes in memory.
using Four = float __attribute__((vector_size(16)));

struct Lanes {
  Four low = Four{} + std::numeric_limits<float>::max();
  Four high = Four{} + std::numeric_limits<float>::lowest();
  Four zero = {};

  void take(Four v) {
    low = v < low ? v : low;  // false for NaN, which is then left out
    high = v > high ? v : high;
    zero += v - v;
  }
};

}  // namespace

bool packed_extremes(const char* data, std::size_t n, float lo[3], float hi[3]) {
  // Four points are twelve floats: lane l of vector k always holds coordinate (4 k + l) mod 3, so
  // that nothing has to be sorted by coordinate.
  Lanes lanes[3];
  std::size_t i = 0;
  for (; i + 4 <= n; i += 4)
    for (std::size_t k = 0; k < 3; ++k) {
      Four v;
      std::memcpy(&v, data + 12 * i + sizeof v * k, sizeof v);
      lanes[k].take(v);
    }
  float all = 0;
  for (int c = 0; c < 3; ++c) {
    lo[c] = std::numeric_limits<float>::max();
    hi[c] = std::numeric_limits<float>::lowest();
  }
  const auto add = [&](int c, float low, float high, float zero) {
    lo[c] = low < lo[c] ? low : lo[c];
    hi[c] = high > hi[c] ? high : hi[c];
    all += zero;
  };
  for (int f = 0; f < 12; ++f)
    add(f % 3, lanes[f / 4].low[f % 4], lanes[f / 4].high[f % 4], lanes[f / 4].zero[f % 4]);
  for (; i < n; ++i) {
    float v[3];
    std::memcpy(v, data + 12 * i, sizeof v);
    for (int c = 0; c < 3; ++c) add(c, v[c], v[c], v[c] - v[c]);
  }
  return all == 0;
}

}  // namespace rigproof
