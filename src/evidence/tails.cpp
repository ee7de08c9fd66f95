#include "evidence/tails.h"

#include <algorithm>
#include <cmath>

#include "evaluate/distribution.h"
#include "evidence/quantile.h"

namespace rigproof {
namespace {

constexpr int kInside = 5, kOutside = 10;       // steps
constexpr int kFrom = 32, kTo = 70;             // 1.6 to 3.5 standard deviations
constexpr double kLeft = 0.15, kExpected = 20;  // share left, independent points expected beyond

double normal_between(int from, int to) {
  return 2 * (normal_cdf(kTailStep * to) - normal_cdf(kTailStep * from));
}

}  // namespace

TailHistogram tail_histogram(const std::vector<double>& residuals) {
  TailHistogram out{};
  const double sd = robust_sd(residuals);
  if (!(sd > 0)) return out;
  for (const double r : residuals) {
    const double t = std::abs(r) / (sd * kTailStep);
    if (t < static_cast<double>(out.size())) ++out[static_cast<std::size_t>(t)];
  }
  return out;
}

std::optional<double> sharp_end(const TailHistogram& h, double area) {
  const auto count = [&](int from, int to) {
    double sum = 0;
    for (int k = from; k < to; ++k) sum += h[static_cast<std::size_t>(k)];
    return sum;
  };
  std::optional<double> out;
  double least = kLeft;
  for (int c = kFrom; c <= kTo; ++c) {
    const double expected =
        count(c - kInside, c) * normal_between(c, c + kOutside) / normal_between(c - kInside, c);
    if (expected < kExpected * std::max(1.0, area)) continue;
    const double left = count(c, c + kOutside) / expected;
    if (left < least) {
      least = left;
      out = c * kTailStep;
    }
  }
  return out;
}

}  // namespace rigproof
