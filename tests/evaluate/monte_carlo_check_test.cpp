#include <cmath>
#include <numeric>

#include <gtest/gtest.h>

#include "evaluate/budget.h"
#include "evaluate/monte_carlo.h"

namespace rigproof {
namespace {

double cdf(double z) { return 0.5 * std::erfc(-z / std::sqrt(2.0)); }

TestValue with_line(double u, std::optional<double> dof) {
  TestValue v;
  v.budget = {{"a", u, dof, "", 1, LineShape::normal}};
  combine_budget(v);
  return v;
}

TEST(MonteCarloCheck, ToleranceIsHalfOfTheSecondDigitOrTheUncertaintyOfU) {
  // JCGM 101:2008, 7.9.2: u = 12·10⁻⁴ to two digits gives δ = ½·10⁻⁴.
  EXPECT_NEAR(check_by_monte_carlo(with_line(0.00123, {}), 0, 1).tolerance, 0.00005, 1e-15);
  EXPECT_NEAR(check_by_monte_carlo(with_line(0.35, {}), 0, 1).tolerance, 0.005, 1e-15);
  EXPECT_EQ(check_by_monte_carlo(with_line(0, {}), 0, 1).tolerance, 0);
  // JCGM 100:2008, E.4.3: the standard uncertainty of u from ν degrees of freedom is u/√(2ν).
  const TestValue few = with_line(0.00123, 8);
  EXPECT_NEAR(check_by_monte_carlo(few, 0, 1).tolerance, few.U / 4, 1e-15);
}

TEST(MonteCarloCheck, StopsWhenItsOwnToleranceIsMet) {
  const MonteCarloCheck one = check_by_monte_carlo(with_line(0.00123, {}), 0, 1);
  EXPECT_FALSE(one.stable);
  EXPECT_EQ(one.trials, 10'000u);
  const MonteCarloCheck all = check_by_monte_carlo(with_line(0.00123, {}), 0);
  EXPECT_TRUE(all.stable);
  EXPECT_TRUE(all.agrees);
  EXPECT_GE(all.trials, 100'000u);
  EXPECT_LT(all.trials, 4'000'000u);
  EXPECT_NEAR(all.d_low, std::abs(all.result.low + 2 * 0.00123), 1e-15);
  EXPECT_NEAR(all.d_high, std::abs(all.result.high - 2 * 0.00123), 1e-15);
}

TEST(MonteCarloCheck, ShareInsideALimitIsThatOfTheDistribution) {
  TestValue v = with_line(0.00123, {});
  v.value = 0.001;
  for (const bool is_signed : {true, false}) {
    v.signed_value = is_signed;
    const MonteCarloCheck c = check_by_monte_carlo(v, 0.002);
    const double below = cdf((0.002 - 0.001) / 0.00123);
    const double p = below - (is_signed ? cdf((-0.002 - 0.001) / 0.00123) : 0);
    EXPECT_NEAR(c.p_within, p, 4 * std::sqrt(p * (1 - p) / static_cast<double>(c.trials)));
  }
  EXPECT_EQ(check_by_monte_carlo(v, 0, 1).p_within, 0);
}

TEST(Summary, OfTheWholeNumbers) {
  std::vector<double> y(1000);
  std::iota(y.rbegin(), y.rend(), 1.0);
  const MonteCarloResult r = summarize(y, 0.9);
  EXPECT_NEAR(r.mean, 500.5, 1e-9);
  EXPECT_NEAR(r.u, std::sqrt(1000 * 1001 / 12.0), 1e-9);  // of the n first, with n − 1
  // JCGM 101:2008, 7.7.2: the 50th and the 950th of 1000, to one rank.
  EXPECT_NEAR(r.low, 50, 1);
  EXPECT_NEAR(r.high, 950, 1);
  EXPECT_EQ(summarize({3}, 0.95).u, 0);
  EXPECT_EQ(summarize({3}, 0.95).low, 3);
  EXPECT_EQ(summarize({3}, 1).high, 3);
}

}  // namespace
}  // namespace rigproof
