// The closed forms against other roads to the same number: densities integrated by Simpson's rule,
// and the Monte Carlo run of the same budget.
#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "evaluate/monte_carlo.h"
#include "evaluate/random.h"
#include "evaluate/values.h"
#include "judge/decision.h"
#include "judge/joint.h"

namespace rigproof {
namespace {

double density(double x, double dof) {
  if (dof == 0) return std::exp(-x * x / 2) / std::sqrt(2 * std::numbers::pi);
  return std::exp(std::lgamma((dof + 1) / 2) - std::lgamma(dof / 2)) /
         std::sqrt(dof * std::numbers::pi) * std::pow(1 + x * x / dof, -(dof + 1) / 2);
}

double integral(double from, double to, double dof) {
  const int n = 2000;
  const double h = (to - from) / n;
  double sum = density(from, dof) + density(to, dof);
  for (int i = 1; i < n; ++i) sum += (i % 2 ? 4 : 2) * density(from + i * h, dof);
  return sum * h / 3;
}

TEST(CrossCheck, ProbabilityIsTheAreaBetweenTheLimits) {
  Random random(11, 0);
  for (int k = 0; k < 200; ++k) {
    const double T = 0.01 + 0.05 * random.uniform(), e = 1.5 * T * (2 * random.uniform() - 1);
    const double u = T * (0.02 + random.uniform());
    const double dof = k % 2 ? 0 : 1 + std::floor(30 * random.uniform());
    const std::optional<double> nu = dof > 0 ? std::optional(dof) : std::nullopt;
    EXPECT_NEAR(
        probability_within(e, T, u, true, nu), integral((-T - e) / u, (T - e) / u, dof), 1e-6)
        << e << " " << T << " " << u << " " << dof;
    // A range: all below the limit counts, by symmetry half and the part up to it.
    EXPECT_NEAR(probability_within(std::abs(e), T, u, false, nu),
                0.5 + integral(0, (T - std::abs(e)) / u, dof),
                1e-6);
  }
}

// Signs do not matter to signed values, and what is within and without adds up.
TEST(CrossCheck, SymmetryAndLimits) {
  Random random(12, 0);
  for (int k = 0; k < 100; ++k) {
    const double e = random.normal(), T = 0.2 + random.uniform(), u = 0.1 + random.uniform();
    EXPECT_NEAR(
        probability_within(e, T, u, true, 7.0), probability_within(-e, T, u, true, 7.0), 1e-12);
    EXPECT_NEAR(probability_within(e, T, u, false, {}) + probability_within(-e, -T, u, false, {}),
                1,
                1e-12);
    EXPECT_LE(probability_within(std::abs(e), T, u, true, {}),
              probability_within(std::abs(e), T, u, false, {}));
  }
}

// Random budgets of normal lines with finite and infinite degrees of freedom: u and p from the
// budget and from 400,000 trials. Standard error of u: u/√(2n); of p: at most 0.5/√n; five of each.
// A t of ν degrees of freedom has the standard deviation √(ν/(ν−2)), by which the run's u is more.
TEST(CrossCheck, MonteCarloOfRandomBudgets) {
  Random random(13, 0);
  const std::size_t n = 400'000;
  for (int k = 0; k < 6; ++k) {
    TestValue v;
    v.value = 0.8;
    double square = 0;
    const int lines = 3 + static_cast<int>(4 * random.uniform());
    for (int i = 0; i < lines; ++i) {
      const double u = 0.02 + 0.1 * random.uniform();
      const bool finite = i == 0;
      v.budget.push_back({"x",
                          u,
                          finite ? std::optional(30.0) : std::nullopt,
                          i % 2 ? "key" + std::to_string(i) : "",
                          i % 3 ? 1.0 : -1.0,
                          LineShape::normal});
      square += u * u * (finite ? 30.0 / 28 : 1);
    }
    combine_budget(v);
    EXPECT_NEAR(
        monte_carlo(v, {n, 5, 0}).u, std::sqrt(square), 5 * std::sqrt(square) / std::sqrt(2.0 * n));
    const double p = probability_within(v.value, 1, v.u, true, v.dof);
    EXPECT_NEAR(joint_probability({{&v, 1}}, {n, 6, 0}), p, 2.5 / std::sqrt(n) + 0.001);
  }
}

// One thermometer for two bars: their errors have the correlation that the shared line makes.
TEST(CrossCheck, SharedTermsCorrelate) {
  Artefact a, b;
  a.serial = "a";
  b.serial = "b";
  TestValue x, y;
  const ArtefactTemperature t{24, 0.5, "artefact"};
  x.budget = temperature_lines(a, 300, t);
  y.budget = temperature_lines(b, 500, t);
  combine_budget(x);
  combine_budget(y);
  double xy = 0, xx = 0, yy = 0;
  std::vector<std::array<double, 3>> parts(200'000 / ErrorModel::kTrialBlock + 1);
  ErrorModel({&x, &y}).run({200'000, 3, 0}, [&](std::size_t block, const std::vector<double>& e) {
    parts[block][0] += e[0] * e[1];
    parts[block][1] += e[0] * e[0];
    parts[block][2] += e[1] * e[1];
  });
  for (const auto& p : parts) xy += p[0], xx += p[1], yy += p[2];
  const double expected = x.budget[0].u * y.budget[0].u / (x.u * y.u);
  EXPECT_NEAR(xy / std::sqrt(xx * yy), expected, 5 / std::sqrt(200'000.0));
  EXPECT_GT(expected, 0.3);
}

}  // namespace
}  // namespace rigproof
