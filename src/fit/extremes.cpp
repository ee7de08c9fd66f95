#include "fit/extremes.h"

#include <algorithm>
#include <limits>

#include "fit/blocks.h"

namespace rigproof {
namespace {

constexpr std::size_t kChunk = 512;

struct Far {
  double value;
  std::size_t index;
};

struct Found {
  double min = std::numeric_limits<double>::infinity();
  double max = -std::numeric_limits<double>::infinity();
  std::vector<Far> below, above;

  Found& operator+=(const Found& o) {
    min = std::min(min, o.min);
    max = std::max(max, o.max);
    below.insert(below.end(), o.below.begin(), o.below.end());
    above.insert(above.end(), o.above.begin(), o.above.end());
    return *this;
  }
};

void keep(std::vector<Far>& far, std::size_t count, bool above, std::vector<std::size_t>& out) {
  std::ranges::sort(far, [above](const Far& a, const Far& b) {
    if (a.value != b.value) return above ? a.value > b.value : a.value < b.value;
    return a.index < b.index;
  });
  for (std::size_t k = 0; k < std::min(count, far.size()); ++k) out.push_back(far[k].index);
}

}  // namespace

Extremes extremes(const Points& points,
                  ResidualFunction function,
                  const double* shape,
                  double low,
                  double high,
                  std::size_t count,
                  int threads) {
  const auto scan = [&](std::size_t begin, std::size_t end) {
    double d[kChunk];
    Found found;
    for (std::size_t i = begin; i < end; i += kChunk) {
      const std::size_t n = std::min(kChunk, end - i);
      function(&points.x[i], &points.y[i], &points.z[i], n, shape, d);
      const ResidualSums s = residual_sums(d, n);
      found.min = std::min(found.min, s.min);
      found.max = std::max(found.max, s.max);
      const auto index = [&](double v) {
        return i + static_cast<std::size_t>(std::find(d, d + n - 1, v) - d);
      };
      if (s.min < low) found.below.push_back({s.min, index(s.min)});
      if (s.max > high) found.above.push_back({s.max, index(s.max)});
    }
    return found;
  };
  Found found = sum_blocks<Found>(points.size(), threads, scan);
  Extremes result{found.min, found.max, {}};
  keep(found.below, count, false, result.beyond);
  keep(found.above, count, true, result.beyond);
  return result;
}

}  // namespace rigproof
