#include "record/chart.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "evaluate/distribution.h"

namespace rigproof {
namespace {

double mean(std::span<const double> values) {
  return std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
}

/// Mean and sum of squares about it, value by value (Welford 1962): every term adds, so that
/// nothing is lost where the mean is large against the scatter. (The source from memory.)
struct Spread {
  double n = 0, mean = 0, squares = 0;
  void add(double v) {
    ++n;
    const double off = v - mean;
    mean += off / n;
    squares += off * (v - mean);
  }
};

/// Of the last i values, at i.
std::vector<Spread> spreads_from_the_end(std::span<const double> values) {
  std::vector<Spread> out(1);
  for (auto v = values.rbegin(); v != values.rend(); ++v) {
    out.push_back(out.back());
    out.back().add(*v);
  }
  return out;
}

/// Two-sided tail of Student's t; an exact fit (infinite t) has none, what is no number proves
/// nothing.
double two_sided(double t, double dof) {
  if (std::isnan(t)) return 1;
  return std::isfinite(t) ? 2 * error_cdf(-std::abs(t), dof) : 0;
}

}  // namespace

IndividualsChart individuals_chart(std::span<const double> values) {
  IndividualsChart chart;
  chart.mean = mean(values);
  for (std::size_t i = 1; i < values.size(); ++i)
    chart.mean_range +=
        std::abs(values[i] - values[i - 1]) / static_cast<double>(values.size() - 1);
  chart.sigma = chart.mean_range / kD2;
  chart.lower = chart.mean - 3 * chart.sigma;
  chart.upper = chart.mean + 3 * chart.sigma;
  chart.range_upper = kD4 * chart.mean_range;
  return chart;
}

EwmaChart ewma_chart(std::span<const double> values,
                     double start,
                     double sigma,
                     const EwmaOptions& options) {
  EwmaChart chart;
  const double keep = 1 - options.lambda;
  double z = start, forgotten = 1;
  for (const double v : values) {
    z = options.lambda * v + keep * z;
    forgotten *= keep * keep;
    chart.z.push_back(z);
    chart.half_width.push_back(options.width * sigma *
                               std::sqrt(options.lambda / (2 - options.lambda) * (1 - forgotten)));
  }
  return chart;
}

Cusum cusum(std::span<const double> values, double target, double slack) {
  Cusum out;
  double high = 0, low = 0;
  for (const double v : values) {
    high = std::max(0.0, high + v - target - slack);
    low = std::max(0.0, low + target - slack - v);
    out.high.push_back(high);
    out.low.push_back(low);
  }
  return out;
}

StraightLine fit_line(std::span<const double> t, std::span<const double> y) {
  StraightLine line;
  line.n = t.size();
  line.middle = mean(t);
  line.at_middle = mean(y);
  double product = 0;
  for (std::size_t i = 0; i < t.size(); ++i) {
    line.spread += (t[i] - line.middle) * (t[i] - line.middle);
    product += (t[i] - line.middle) * (y[i] - line.at_middle);
  }
  if (line.spread > 0) line.slope = product / line.spread;
  double squares = 0;
  for (std::size_t i = 0; i < t.size(); ++i) squares += std::pow(y[i] - line.at(t[i]), 2);
  const double dof = static_cast<double>(line.n) - 2;
  line.sigma = std::sqrt(squares / dof);
  if (line.spread > 0 && line.slope != 0)
    line.p = two_sided(line.slope * std::sqrt(line.spread) / line.sigma, dof);
  return line;
}

std::optional<Crossing> crossing(const StraightLine& line, double level) {
  if (line.n < 3 || !(line.p < 0.05)) return std::nullopt;
  // (d − b x)² = q² σ² (1/n + x²/S) with x = t − middle, d = level − at_middle.
  const double q = coverage_factor(0.95, static_cast<double>(line.n) - 2) * line.sigma;
  const double d = level - line.at_middle, b = line.slope;
  const double a = b * b - q * q / line.spread;
  const double root =
      q * std::sqrt(std::max(0.0, a / static_cast<double>(line.n) + d * d / line.spread));
  return Crossing{
      line.middle + (b * d - root) / a, line.middle + d / b, line.middle + (b * d + root) / a};
}

std::optional<Step> find_step(std::span<const double> values) {
  const std::size_t n = values.size();
  if (n < 4) return std::nullopt;
  Step best;
  best.sum_of_squares = std::numeric_limits<double>::infinity();
  const std::vector<Spread> after = spreads_from_the_end(values);
  Spread before;
  before.add(values[0]);
  for (std::size_t split = 2; split + 2 <= n; ++split) {
    before.add(values[split - 1]);
    const Spread& rest = after[n - split];
    const double squares = before.squares + rest.squares;
    if (squares < best.sum_of_squares) best = {split, before.mean, rest.mean, squares, 1};
  }
  const double dof = static_cast<double>(n) - 2, splits = static_cast<double>(n) - 3;
  const double left = static_cast<double>(best.first), right = static_cast<double>(n) - left;
  const double u = std::sqrt(best.sum_of_squares / dof * (1 / left + 1 / right));
  if (best.after != best.before)
    best.p = std::min(1.0, splits * two_sided((best.after - best.before) / u, dof));
  return best;
}

}  // namespace rigproof
