// JCGM 106:2012, Evaluation of measurement data – The role of measurement uncertainty in conformity
// assessment. The inputs of the ball bearing example are partly from memory.
#include <cmath>

#include <gtest/gtest.h>

#include "evaluate/distribution.h"
#include "judge/decision.h"

namespace rigproof {
namespace {

template <class F>
double integral(double from, double to, const F& f) {  // Simpson's rule
  const int n = 4000;
  const double h = (to - from) / n;
  double sum = f(from) + f(to);
  for (int i = 1; i < n; ++i) sum += (i % 2 ? 4 : 2) * f(from + i * h);
  return sum * h / 3;
}

TEST(Jcgm106, BreakdownVoltageOfAZenerDiode) {
  EXPECT_NEAR(probability_within(-5.47, -5.40, 0.05, false, {}), 0.919243, 5e-7);
}

TEST(Jcgm106, ViscosityOfOilBetweenTwoLimits) {
  const double middle = (12.5 + 16.3) / 2, half = (16.3 - 12.5) / 2;
  EXPECT_NEAR(probability_within(13.6 - middle, half, 1.8, true, {}), 0.662630, 5e-7);
}

TEST(Jcgm106, RadarSpeedIsProvenAtNinetyNinePointNine) {
  const double v = 106.5876;
  EXPECT_NEAR(1 - probability_within(v, 100, 0.02 * v, false, {}), 0.999, 1e-6);
}

TEST(Jcgm106, GlobalRisksOfResistors) {
  const double prior_sd = 0.12, tolerance = 0.2, u = 0.04, acceptance = 0.18;
  const auto prior = [&](double x) { return normal_density(x / prior_sd) / prior_sd; };
  const auto accepted = [&](double x) { return probability_within(x, acceptance, u, true, {}); };
  const double consumer =
      2 * integral(tolerance, 1.5, [&](double x) { return prior(x) * accepted(x); });
  const double producer =
      integral(-tolerance, tolerance, [&](double x) { return prior(x) * (1 - accepted(x)); });
  EXPECT_NEAR(consumer, 0.009878, 1e-6);
  EXPECT_NEAR(producer, 0.069027, 1e-6);
}

TEST(Jcgm106, GlobalRiskOfBallBearings) {
  const auto prior = [](double x) { return std::pow(4, 4) / 6 * x * x * x * std::exp(-4 * x); };
  EXPECT_NEAR(integral(2, 12, prior), 0.0423801, 1e-7);
  const double consumer = integral(
      2, 6, [&](double x) { return prior(x) * probability_within(x, 2, 0.25, false, {}); });
  EXPECT_NEAR(consumer, 0.00801911, 1e-7);
}

}  // namespace
}  // namespace rigproof
