#pragma once

#include <optional>
#include <span>
#include <vector>

namespace rigproof {

/// Control-chart constants of a moving range of two: d2 = 2/√π (mean range of two normal values in
/// σ), D4 = 1 + 3 √(π/2 − 1) (NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2). 3/d2 is E2.
inline constexpr double kD2 = 1.1283791670955126;
inline constexpr double kD4 = 3.2665319192886013;

/// Individuals and moving range (e-Handbook 6.3.2.2). Units are those of the values.
struct IndividualsChart {
  double mean = 0;
  double mean_range = 0;  ///< of neighbours
  double sigma = 0;       ///< mean_range / d2
  double lower = 0, upper = 0, range_upper = 0;
};
/// Limits from these values, at least two.
IndividualsChart individuals_chart(std::span<const double> values);

/// Exponentially weighted moving average (e-Handbook 6.3.2.4) with exact start-up limits.
struct EwmaChart {
  std::vector<double> z;
  std::vector<double> half_width;  ///< L s √(λ/(2−λ) (1−(1−λ)^{2i}))
};
struct EwmaOptions {
  double lambda = 0.3;
  double width = 3;  ///< L
};
EwmaChart ewma_chart(std::span<const double> values,
                     double start,
                     double sigma,
                     const EwmaOptions& options = {});

/// Tabular cumulative sums of both sides (e-Handbook 6.3.2.3): how far the values have moved from
/// `target` by more than `slack`, summed; an alarm where a sum exceeds `decision`.
struct Cusum {
  std::vector<double> high, low;
};
Cusum cusum(std::span<const double> values, double target, double slack);

/// y = at_middle + slope (t − middle), least squares.
struct StraightLine {
  std::size_t n = 0;
  double middle = 0, at_middle = 0, slope = 0;
  double sigma = 0;   ///< residual standard deviation, n − 2 degrees of freedom
  double spread = 0;  ///< Σ (t − middle)²
  double p = 1;       ///< two-sided probability of such a slope by chance; 1: no spread in t
  double at(double t) const { return at_middle + slope * (t - middle); }
};
/// At least three points.
StraightLine fit_line(std::span<const double> t, std::span<const double> y);

/// When a line reaches `level`, with the interval where its 95 % confidence band does (Fieller
/// 1954, J. R. Stat. Soc. B 16, 175). Same unit as t.
struct Crossing {
  double earliest = 0, expected = 0;
  double latest = 0;
};
/// nullopt when the slope is not significant at 5 %: then no finite interval exists.
std::optional<Crossing> crossing(const StraightLine& line, double level);

/// One change of level that explains the values best: the split of least residual sum of squares.
struct Step {
  std::size_t first = 0;  ///< index of the first value after the change
  double before = 0, after = 0;
  double sum_of_squares = 0;  ///< about the two means
  double p = 1;  ///< of a two-sample t test, times the number of splits tried (Bonferroni)
};
/// At least two values on either side; nullopt with fewer than four.
std::optional<Step> find_step(std::span<const double> values);

}  // namespace rigproof
