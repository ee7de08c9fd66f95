// JCGM 101:2008, 9.2.3 and 9.2.4: the sum of four rectangular quantities. Intervals of 95 %.
#include <cmath>

#include <gtest/gtest.h>

#include "evaluate/monte_carlo.h"

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

}  // namespace
}  // namespace rigproof
