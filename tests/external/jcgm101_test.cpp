// JCGM 101:2008, 9.2.3 and 9.2.4: the sum of four rectangular quantities. Intervals of 95 %.
#include <cmath>

#include <gtest/gtest.h>

#include "evaluate/monte_carlo.h"
#include "evaluate/values.h"

namespace rigproof {
namespace {

TestValue sum_of(const std::vector<double>& deviations) {
  TestValue v;
  for (const double u : deviations) v.budget.push_back({"x", u, {}, "", 1, LineShape::rectangular});
  return v;
}

TEST(Jcgm101, FourEqualRectangulars) {
  const MonteCarloResult r = monte_carlo(sum_of({1, 1, 1, 1}), {400'000, 1, 0}, 0.95);
  EXPECT_NEAR(r.u, 2.00, 0.01);
  EXPECT_NEAR(r.high, 3.88, 0.02);
  EXPECT_NEAR(r.low, -3.88, 0.02);
}

TEST(Jcgm101, OneOfThemTenTimesAsWide) {
  const MonteCarloResult r = monte_carlo(sum_of({1, 1, 1, 10}), {400'000, 1, 0}, 0.95);
  EXPECT_NEAR(r.u, std::sqrt(103), 0.03);  // closed form; JCGM 101 prints 10.1
  EXPECT_NEAR(r.high, 17.0, 0.07);
  EXPECT_NEAR(r.low, -17.0, 0.07);
}

// Four standard normals (9.2.2): the budget's own interval and that of the run agree to two digits.
// Four equal rectangulars (9.2.3): the run's 95 % interval is shorter than ± 1.96·2 = ± 3.92, which
// JCGM 101 prints as the reason why the two do not agree there.
TEST(Jcgm101, ValidationOfTheBudgetByTwoSignificantDigits) {
  TestValue normal = sum_of({1, 1, 1, 1});
  for (BudgetLine& line : normal.budget) line.shape = LineShape::normal;
  combine_budget(normal);
  const MonteCarloCheck a = check_by_monte_carlo(normal, 0);
  EXPECT_TRUE(a.stable);
  EXPECT_DOUBLE_EQ(a.tolerance, 0.05);  // u = 2.0
  EXPECT_TRUE(a.agrees);
  EXPECT_NEAR(a.result.u, 2, 0.01);
  const MonteCarloCheck again = check_by_monte_carlo(normal, 0, 400, 1);
  EXPECT_EQ(a.result.low, again.result.low) << "the same bits whatever the threads";

  TestValue one = sum_of({1, 1, 1, 10});  // 9.2.4: nearly one rectangular
  combine_budget(one);
  const MonteCarloCheck b = check_by_monte_carlo(one, 0);
  EXPECT_FALSE(b.agrees);
  EXPECT_LT(b.result.high, one.U);
}

}  // namespace
}  // namespace rigproof
