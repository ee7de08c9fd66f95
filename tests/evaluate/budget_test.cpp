#include "evaluate/budget.h"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "evaluate/distribution.h"
#include "evaluate/monte_carlo.h"
#include "evaluate/random.h"
#include "evaluate/thermometer.h"

namespace rigproof {
namespace {

Artefact steel() {
  Artefact a;
  a.serial = "bar-1";
  a.alpha_per_K = 11.5e-6;
  a.u_alpha_per_K = 1e-6 / std::sqrt(3.0);
  return a;
}

double total(const std::vector<BudgetLine>& lines) {
  TestValue v;
  v.budget = lines;
  combine_budget(v);
  return v.u;
}

TEST(Temperature, CorrectionAndItsUncertaintyOfHalfAMetre) {
  // 500 mm, 3 K, 11.5e-6/K: 17.25 µm; u_α 1e-6/√3, u_T 0.2 K: 1.440 µm, 1.4408 with second order.
  const Artefact a = steel();
  EXPECT_NEAR(reference_at(a, 500, 23) - 500, 0.01725, 1e-12);
  const ArtefactTemperature t{23, 0.2, "artefact"};
  EXPECT_NEAR(1000 * total(temperature_lines(a, 500, t, false)), 1.440, 0.0005);
  EXPECT_NEAR(1000 * total(temperature_lines(a, 500, t)), 1.4408, 0.00005);
}

TEST(Temperature, BudgetOfAThreeHundredMillimetreBar) {
  // L 300, ΔT 3 K, u_α 1e-6/√3, u_T 0.2 K, U 1.2 µm (k 2): 1.051713 µm, 1.052283 with second order.
  const Artefact a = steel();
  const ArtefactTemperature t{23, 0.2, "artefact"};
  for (const bool second : {false, true}) {
    std::vector<BudgetLine> lines = temperature_lines(a, 300, t, second);
    lines.push_back(calibration_line({a, "A-B"}, 0.0012));
    EXPECT_NEAR(1000 * total(lines), second ? 1.052283 : 1.051713, 5e-7);
  }
}

TEST(Temperature, SignsSayWhichWayTheValueMoves) {
  // d(L (1 + α ΔT)) = L ΔT dα + L α dT, and the value is what was measured less that.
  const auto signs = [](double alpha, double celsius) {
    Artefact a = steel();
    a.alpha_per_K = alpha;
    const auto lines = temperature_lines(a, 300, {celsius, 0.2, "artefact"}, false);
    return std::pair(lines.at(0).sensitivity, lines.at(1).sensitivity);
  };
  EXPECT_EQ(signs(11.5e-6, 20.4), std::pair(-1.0, -1.0));
  EXPECT_EQ(signs(11.5e-6, 19.6), std::pair(-1.0, 1.0));
  EXPECT_EQ(signs(-0.4e-6, 20.4), std::pair(1.0, -1.0));
}

TEST(Temperature, OfWhatWasMeasured) {
  Environment e;
  EXPECT_EQ(artefact_temperature(e).basis, "assumed 20 ± 5 °C");
  EXPECT_DOUBLE_EQ(artefact_temperature(e).u_C, 5 / std::sqrt(3.0));
  EXPECT_DOUBLE_EQ(reading_uncertainty(e), 5 / std::sqrt(3.0));
  EXPECT_TRUE(rectangular(artefact_temperature(e)));
  e.artefact_C = 21.3;
  e.measured_on = "room";
  EXPECT_DOUBLE_EQ(artefact_temperature(e).u_C, 2);
  e.measured_on = "artefact";
  e.u_artefact_C = 0.2;
  EXPECT_DOUBLE_EQ(artefact_temperature(e).C, 21.3);
  EXPECT_DOUBLE_EQ(artefact_temperature(e).u_C, 0.2);
  e.artefact_C_end = 21.9;
  EXPECT_NEAR(artefact_temperature(e).C, 21.6, 1e-12);
  EXPECT_NEAR(artefact_temperature(e).u_C, std::hypot(0.2, 0.3 / std::sqrt(3.0)), 1e-12);
}

TEST(Coverage, IsStudentTAtTwoSigma) {
  EXPECT_EQ(coverage_factor(0.9545, std::nullopt), 2);
  // JCGM 100:2008, table G.2, column 95.45 % (from memory).
  const std::vector<std::pair<double, double>> table{
      {1, 13.97}, {2, 4.53}, {3, 3.31}, {4, 2.87}, {5, 2.65}, {10, 2.28}, {20, 2.13}, {50, 2.05}};
  for (const auto& [dof, k] : table) EXPECT_NEAR(coverage_factor(0.9545, dof), k, 0.006) << dof;
}

TEST(ErrorDistribution, IsNormalOrStudents) {
  // Handbook tables, from memory: Φ(1.96) = 0.9750; t of five degrees of freedom at 0.975 is 2.571.
  EXPECT_NEAR(error_cdf(1.96, {}), 0.9750, 5e-5);
  EXPECT_NEAR(error_cdf(2.571, 5), 0.975, 2e-5);
  EXPECT_NEAR(error_cdf(-2.571, 5), 0.025, 2e-5);
  for (const std::optional<double> dof : {std::optional<double>(), std::optional<double>(5)}) {
    EXPECT_EQ(error_cdf(INFINITY, dof), 1);
    EXPECT_EQ(error_cdf(-INFINITY, dof), 0);
    EXPECT_NEAR(error_cdf(0, dof), 0.5, 1e-15);
  }
}

TEST(CombineBudget, TruncatesTheDegreesOfFreedom) {
  TestValue v;
  v.budget = {{"a", 3, 4.0, "", 1, LineShape::normal}, {"b", 4, {}, "", 1, LineShape::normal}};
  combine_budget(v);
  EXPECT_DOUBLE_EQ(v.u, 5);
  EXPECT_DOUBLE_EQ(*v.dof, std::floor(625.0 / (81.0 / 4)));  // 30.86 → 30
  EXPECT_NEAR(v.U, v.k * 5, 1e-12);
  EXPECT_NEAR(v.k, coverage_factor(0.9545, 30.0), 1e-12);
  v.budget.pop_back();
  combine_budget(v);
  EXPECT_DOUBLE_EQ(*v.dof, 4);
}

TEST(CombineBudget, SharedLinesOfOneValueAddWithTheirSigns) {
  TestValue v;
  v.budget = {{"a", 3, {}, "t", 1, LineShape::normal}, {"b", 2, {}, "t", -1, LineShape::normal}};
  combine_budget(v);
  EXPECT_DOUBLE_EQ(v.u, 1);
  EXPECT_FALSE(v.dof);
  EXPECT_EQ(v.k, 2);
}

TEST(CombineBudget, NothingUncertain) {
  TestValue v;
  combine_budget(v);
  EXPECT_EQ(v.u, 0);
  EXPECT_EQ(v.U, 0);
}

TEST(MonteCarlo, AgreesWithTheClosedFormOfTheSameBudget) {
  const Artefact a = steel();
  TestValue v;
  v.budget = temperature_lines(a, 300, {23, 0.2, "artefact"});
  v.budget.push_back(calibration_line({a, "A-B"}, 0.0012));
  combine_budget(v);
  const MonteCarloResult exact = monte_carlo(v);
  EXPECT_NEAR(exact.u, v.u, 0.01 * v.u);
  EXPECT_NEAR(exact.mean, 0, 4 * v.u / std::sqrt(2e5));
  EXPECT_NEAR(0.5 * (exact.high - exact.low), v.U, 0.015 * v.U);

  // JCGM 101 gives a quantity of ν degrees of freedom the variance ν/(ν − 2) of its t, so that its
  // interval is wider than that of Welch and Satterthwaite.
  v.budget.push_back(zone_line(0.2505, 0.2515));
  combine_budget(v);
  const MonteCarloResult wider = monte_carlo(v);
  const double u = std::sqrt(v.u * v.u + 0.0005 * 0.0005 * (8.0 / 6 - 1));
  EXPECT_NEAR(wider.u, u, 0.01 * u);
  EXPECT_NEAR(0.5 * (wider.high - wider.low), 2 * u, 0.02 * u);
  EXPECT_GE(0.5 * (wider.high - wider.low), v.U);
}

TEST(MonteCarlo, SameBitsWhateverTheThreads) {
  TestValue v;
  v.budget = {zone_line(5, 3), rounding_line(1, 1)};
  const MonteCarloResult one = monte_carlo(v, {20'000, 5, 1}), two = monte_carlo(v, {20'000, 5, 3});
  EXPECT_EQ(one.u, two.u);
  EXPECT_EQ(one.low, two.low);
  EXPECT_NE(monte_carlo(v, {20'000, 6, 1}).u, one.u);
}

TEST(MonteCarlo, EveryTrialIsDrawnOnce) {
  TestValue v;
  v.budget = {rounding_line(1, 1)};
  const std::size_t whole = ErrorModel::kTrialBlock;
  for (const std::size_t trials : {std::size_t{1}, whole - 1, whole, whole + 1, 2 * whole + 1}) {
    std::vector<std::size_t> of_block(3, 0);
    std::size_t most = 0;
    ErrorModel({&v}).run({trials, 1, 1}, [&](std::size_t block, const std::vector<double>& e) {
      ASSERT_EQ(e.size(), 1u);
      most = std::max(most, block);
      ++of_block.at(block);
    });
    EXPECT_EQ(of_block[0] + of_block[1] + of_block[2], trials);
    EXPECT_EQ(most, (trials - 1) / whole);
    EXPECT_EQ(of_block[0], std::min(trials, whole));
    EXPECT_TRUE(std::isfinite(monte_carlo(v, {trials, 1, 2}).mean));
  }
}

TEST(MonteCarlo, SharedTermsCorrelateAndSecondOrderIsTheirProduct) {
  TestValue a, b, c;
  a.budget = {{"t", 1, {}, "t", 1, LineShape::normal}};
  b.budget = {{"t", 2, {}, "t", -1, LineShape::normal}};
  c.budget = {{"t", 1, {}, "t", 1, LineShape::normal},
              {"s", 1, {}, "s", 1, LineShape::normal},
              {"ts", 0.5, {}, "t*s", 1, LineShape::normal}};
  const ErrorModel model({&a, &b, &c});
  model.run({500, 1, 1}, [&](std::size_t, const std::vector<double>& e) {
    EXPECT_DOUBLE_EQ(e[1], -2 * e[0]);
    const double t = e[0], s = (e[2] - t) / (1 + 0.5 * t);
    EXPECT_NEAR(e[2], t + s + 0.5 * t * s, 1e-9);
  });
  EXPECT_NEAR(monte_carlo(c).u, 1.5, 0.01);  // √(1 + 1 + ¼)
}

TEST(Random, HasTheMomentsOfItsDistributions) {
  Random random(1, 2);
  double n2 = 0, n4 = 0, t2 = 0, u1 = 0;
  const int n = 400'000;
  for (int i = 0; i < n; ++i) {
    const double z = random.normal(), t = random.student_t(10);
    n2 += z * z;
    n4 += z * z * z * z;
    t2 += t * t;
    u1 += random.uniform();
  }
  EXPECT_NEAR(n2 / n, 1, 0.01);
  EXPECT_NEAR(n4 / n, 3, 0.08);
  EXPECT_NEAR(t2 / n, 10.0 / 8, 0.02);
  EXPECT_NEAR(u1 / n, 0.5, 0.003);
}

}  // namespace
}  // namespace rigproof
