// Lines, crossings and steps against closed forms and against direct evaluation of the definition.
#include "record/chart.h"

#include <chrono>
#include <cmath>
#include <limits>
#include <random>

#include <gtest/gtest.h>

namespace rigproof {
namespace {

// Exact line y = 2 + 3 t plus residuals (1, −1, −1, 1), which are orthogonal to 1 and t for
// t = 0, 1, 2, 3: slope and level are those of the line, Σr² = 4, σ = √2.
TEST(Line, OrthogonalResidualsLeaveTheLine) {
  const std::vector<double> t{0, 1, 2, 3}, y{3, 4, 7, 12};
  const StraightLine line = fit_line(t, y);
  EXPECT_NEAR(line.slope, 3, 1e-12);
  EXPECT_NEAR(line.at(0), 2, 1e-12);
  EXPECT_NEAR(line.sigma, std::sqrt(2.0), 1e-12);
  // t = 3 √5/√2 = 4.743416; with two degrees of freedom the tail has a closed form:
  // P(|T| > t) = 1 − t/√(2 + t²).
  const double q = 3 * std::sqrt(5.0) / std::sqrt(2.0);
  EXPECT_NEAR(line.p, 1 - q / std::sqrt(2 + q * q), 1e-12);
}

TEST(Line, OneDayTellsNoSlope) {
  const std::vector<double> t{5, 5, 5}, y{1, 2, 3};
  EXPECT_EQ(fit_line(t, y).p, 1);
  EXPECT_FALSE(crossing(fit_line(t, y), 10));
}

// The interval is where the two-sided 95 % band of the line contains the level: found by walking
// along the band itself. t quantile for 6 degrees of freedom: 2.446912 (tables).
TEST(Crossing, TheIntervalIsWhereTheBandHoldsTheLevel) {
  const std::vector<double> t{0, 30, 61, 92, 120, 151, 183, 215};
  const std::vector<double> y{1.1, 2.6, 3.2, 5.4, 5.9, 8.1, 8.8, 11.2};
  for (const double sign : {1.0, -1.0}) {
    std::vector<double> signed_y;
    for (const double v : y) signed_y.push_back(sign * v);
    const StraightLine line = fit_line(t, signed_y);
    const double level = sign * 15;
    const auto found = crossing(line, level);
    ASSERT_TRUE(found);
    double first = 0, last = 0;
    for (double x = 100; x < 1000; x += 0.01) {
      const double half =
          2.446912 * line.sigma * std::sqrt(1.0 / 8 + std::pow(x - line.middle, 2) / line.spread);
      const bool inside = std::abs(line.at(x) - level) <= half;
      if (inside && first == 0) first = x;
      if (inside) last = x;
    }
    EXPECT_NEAR(found->earliest, first, 0.02);
    EXPECT_NEAR(found->latest, last, 0.02);
    EXPECT_NEAR(line.at(found->expected), level, 1e-9);
  }
}

TEST(Crossing, NoneWithoutASignificantSlope) {
  const std::vector<double> t{0, 1, 2, 3, 4, 5}, y{1, -1, 1, -1, 1, -1};
  EXPECT_FALSE(crossing(fit_line(t, y), 10));
}

// Over many processes the earliest and latest crossing enclose the true one 95 times in 100.
TEST(Crossing, CoversTheTruthAsOftenAsItSays) {
  std::mt19937_64 random(7);
  std::normal_distribution<double> noise(0, 1);
  const std::vector<double> t{0, 1, 2, 3, 4, 5, 6, 7, 8, 9};
  int covered = 0;
  const int runs = 4000;
  for (int run = 0; run < runs; ++run) {
    std::vector<double> y;
    for (const double x : t) y.push_back(1.5 * x + noise(random));
    const auto found = crossing(fit_line(t, y), 30);  // truth: 20
    ASSERT_TRUE(found);
    covered += found->earliest <= 20 && 20 <= found->latest;
  }
  // Binomial, four standard deviations: 0.95 ± 0.0138.
  EXPECT_NEAR(covered / double(runs), 0.95, 0.0138);
}

TEST(Step, IsFoundWhereItIs) {
  const auto step = find_step(std::vector<double>{1, 2, 1, 2, 11, 12, 11, 12});
  ASSERT_TRUE(step);
  EXPECT_EQ(step->first, 4u);
  EXPECT_DOUBLE_EQ(step->before, 1.5);
  EXPECT_DOUBLE_EQ(step->after, 11.5);
  EXPECT_DOUBLE_EQ(step->sum_of_squares, 2);
  EXPECT_LT(step->p, 1e-4);
  EXPECT_FALSE(find_step(std::vector<double>{1, 2, 3}));
}

// The definition, summed anew for every split.
Step step_by_direct_sums(const std::vector<double>& y) {
  const auto part = [&](std::size_t from, std::size_t to, double& mean) {
    mean = 0;
    for (std::size_t i = from; i < to; ++i) mean += y[i] / static_cast<double>(to - from);
    double squares = 0;
    for (std::size_t i = from; i < to; ++i) squares += (y[i] - mean) * (y[i] - mean);
    return squares;
  };
  Step best;
  best.sum_of_squares = std::numeric_limits<double>::infinity();
  for (std::size_t split = 2; split + 2 <= y.size(); ++split) {
    Step step;
    step.first = split;
    step.sum_of_squares = part(0, split, step.before) + part(split, y.size(), step.after);
    if (step.sum_of_squares < best.sum_of_squares) best = step;
  }
  return best;
}

// Also where the values are large against their scatter, as a length is against its error.
TEST(Step, IsThatOfDirectSums) {
  std::mt19937_64 random(12);
  std::normal_distribution<double> noise(0, 1);
  for (const double level : {0.0, 1.0, -250.0, 1e6})
    for (const double height : {0.0, 0.5, 5.0})
      for (const std::size_t n : {4u, 5u, 12u, 200u}) {
        std::vector<double> y(n);
        for (std::size_t i = 0; i < n; ++i) y[i] = level + (3 * i > n ? height : 0) + noise(random);
        const Step expected = step_by_direct_sums(y);
        const auto step = find_step(y);
        ASSERT_TRUE(step);
        EXPECT_EQ(step->first, expected.first) << level << " " << height << " " << n;
        const double near = 1e-12 * (1 + std::abs(level));
        EXPECT_NEAR(step->before, expected.before, near);
        EXPECT_NEAR(step->after, expected.after, near);
        EXPECT_NEAR(step->sum_of_squares, expected.sum_of_squares, near * static_cast<double>(n));
      }
}

// A history of any length is searched in one pass; the squares of direct sums would take minutes.
TEST(Step, IsFoundAmongAHundredThousandValues) {
  std::mt19937_64 random(13);
  std::normal_distribution<double> noise(0, 1);
  std::vector<double> y(100'000);
  for (std::size_t i = 0; i < y.size(); ++i) y[i] = 250 + (i < 70'000 ? 0 : 1) + noise(random);
  const auto start = std::chrono::steady_clock::now();
  const auto step = find_step(y);
  EXPECT_LT(std::chrono::steady_clock::now() - start, std::chrono::seconds(1));
  ASSERT_TRUE(step);
  EXPECT_NEAR(static_cast<double>(step->first), 70'000, 50);
  EXPECT_NEAR(step->after - step->before, 1, 0.05);
}

TEST(Step, WhatIsNoNumberProvesNothing) {
  const double beyond = 1.7e308;
  const std::vector<double> y{beyond, -beyond, beyond, -beyond, beyond, beyond},
      t{0, 1, 2, 3, 4, 5};
  EXPECT_EQ(fit_line(t, y).p, 1);
  EXPECT_EQ(find_step(y)->p, 1);
}

TEST(Step, ChanceIsRarelyTakenForOne) {
  std::mt19937_64 random(11);
  std::normal_distribution<double> noise(0, 1);
  int alarms = 0;
  const int runs = 4000;
  for (int run = 0; run < runs; ++run) {
    std::vector<double> y(12);
    for (double& v : y) v = noise(random);
    alarms += find_step(y)->p < 0.01;
  }
  // Bonferroni bounds the rate by 1 %; four standard deviations above: 0.0163.
  EXPECT_LE(alarms / double(runs), 0.0163);
}

}  // namespace
}  // namespace rigproof
