#include "evaluate/allowance.h"

#include <algorithm>
#include <cmath>

#include "evaluate/distribution.h"
#include "fit/blocks.h"
#include "fit/fit.h"
#include "fit/residual_blocks.h"

namespace rigproof {
namespace {

constexpr std::size_t kSample = 8192;

// Below the wanted rank in an even sample by four of its standard errors; 0: take everything.
double low_threshold(const std::vector<double>& residuals, std::size_t count) {
  const std::size_t n = residuals.size();
  if (n <= 4 * kSample) return 0;
  std::vector<double> sample(kSample);
  for (std::size_t k = 0; k < kSample; ++k) sample[k] = std::abs(residuals[k * n / kSample]);
  const double share = static_cast<double>(count) / static_cast<double>(n);
  const double rank = share * kSample + 4 * std::sqrt(share * kSample) + 4;
  if (rank >= kSample) return 0;
  const auto at = sample.begin() + static_cast<std::ptrdiff_t>(rank);
  std::nth_element(sample.begin(), at, sample.end(), std::greater<>());
  return *at;
}

std::vector<std::size_t> above(const std::vector<double>& residuals, double threshold) {
  std::vector<std::vector<std::size_t>> parts((residuals.size() + kBlock - 1) / kBlock);
  for_blocks(residuals.size(), 0, [&](std::size_t begin, std::size_t end, std::size_t b) {
    for (std::size_t i = begin; i < end; ++i)
      if (std::abs(residuals[i]) >= threshold) parts[b].push_back(i);
  });
  std::vector<std::size_t> all;
  for (const auto& part : parts) all.insert(all.end(), part.begin(), part.end());
  return all;
}

}  // namespace

std::vector<std::size_t> select_largest(const std::vector<double>& residuals, std::size_t count) {
  if (count == 0) return {};
  const double threshold = low_threshold(residuals, count);
  if (threshold <= 0) return largest_residuals(residuals, count);
  const std::vector<std::size_t> candidates = above(residuals, threshold);
  if (candidates.size() < count) return largest_residuals(residuals, count);
  std::vector<double> values;
  values.reserve(candidates.size());
  for (const std::size_t i : candidates) values.push_back(residuals[i]);
  std::vector<std::size_t> chosen = largest_residuals(values, count);
  for (std::size_t& k : chosen) k = candidates[k];
  return chosen;
}

double kept_range(const std::vector<double>& residuals, double share) {
  const std::vector<std::size_t> out =
      select_largest(residuals, allowance(share, residuals.size()));
  double lo = INFINITY, hi = -INFINITY;
  std::size_t begin = 0;
  const auto widen = [&](std::size_t end) {
    if (end <= begin) return;
    const ResidualSums s = residual_sums(&residuals[begin], end - begin);
    lo = std::min(lo, s.min);
    hi = std::max(hi, s.max);
  };
  for (const std::size_t i : out) {
    widen(i);
    begin = i + 1;
  }
  widen(residuals.size());
  return hi >= lo ? hi - lo : 0;
}

double trimming_loss(double share) {
  if (!(share > 0) || share >= 0.5) return 1;
  const double c = normal_quantile(1 - 0.5 * share), q = 2 * c * normal_density(c);
  return ((1 - share - q) * (1 + 2 * q) + q * q) / (1 - share);
}

LeftOut::LeftOut(Points& points, const std::vector<std::size_t>& indices) : points_(points) {
  const std::size_t n = points.size(), kept = n - indices.size();
  for (std::size_t i = kept; i < n; ++i)
    tail_.push_back({i, points.x[i], points.y[i], points.z[i]});
  std::size_t last = n;  // tail points from here on are placed or left out
  std::size_t out = indices.size();
  for (const std::size_t hole : indices) {
    if (hole >= kept) break;
    do {
      --last;
      if (out > 0 && indices[out - 1] == last)
        --out;
      else
        break;
    } while (true);
    overwritten_.push_back({hole, points.x[hole], points.y[hole], points.z[hole]});
    points.x[hole] = points.x[last];
    points.y[hole] = points.y[last];
    points.z[hole] = points.z[last];
  }
  points.x.resize(kept);
  points.y.resize(kept);
  points.z.resize(kept);
}

LeftOut::~LeftOut() {
  for (const Moved& m : tail_) points_.push_local(m.x, m.y, m.z);  // within the old capacity
  for (const Moved& m : overwritten_) {
    points_.x[m.at] = m.x;
    points_.y[m.at] = m.y;
    points_.z[m.at] = m.z;
  }
}

}  // namespace rigproof
