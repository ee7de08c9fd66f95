// JCGM 100:2008 (GUM), H.1: calibration of an end gauge. nm.
#include <gtest/gtest.h>

#include "evaluate/distribution.h"
#include "evaluate/monte_carlo.h"
#include "evaluate/values.h"

namespace rigproof {
namespace {

TestValue end_gauge() {
  TestValue v;
  v.budget = {{"standard", 25, 18.0, "", 1, LineShape::normal},
              {"difference", 9.7, 25.6, "", 1, LineShape::normal},
              {"difference of expansion coefficients", 2.9, 50.0, "", 1, LineShape::normal},
              {"difference of temperatures", 16.6, 2.0, "", 1, LineShape::normal}};
  return v;
}

TEST(Jcgm100, EndGaugeFirstOrder) {
  TestValue v = end_gauge();
  combine_budget(v);
  EXPECT_NEAR(v.u, 31.66, 0.05);  // the published components are rounded to 0.1 nm
  EXPECT_EQ(*v.dof, 16);          // ν_eff 16.75, truncated
  EXPECT_NEAR(coverage_factor(0.99, v.dof), 2.92, 0.005);
  EXPECT_NEAR(coverage_factor(0.99, v.dof) * v.u, 92.5, 0.3);
}

TEST(Jcgm100, EndGaugeWithSecondOrder) {
  TestValue v = end_gauge();
  // H.1.7: l u(δα) u(θ) with 0.58e-6/K · 0.41 K and l u(α) u(δθ) with 1.2e-6/K · 0.029 K, l = 50
  // mm.
  v.budget.push_back({"second order", 11.7, {}, "", 1, LineShape::normal});
  v.budget.push_back({"second order", 1.7, {}, "", 1, LineShape::normal});
  combine_budget(v);
  EXPECT_NEAR(v.u, 33.8, 0.05);  // published: 34
}

// H.1.7 with its second-order terms as the products that they are: a Monte Carlo run of the same
// lines. 33.85 nm from the closed form with components that are not rounded; published 34 nm.
TEST(Jcgm100, EndGaugeByMonteCarloWithProducts) {
  const double l = 50e6;  // nm
  TestValue v;
  v.budget = {{"standard", 25, {}, "", 1, LineShape::normal},
              {"difference", 9.7, {}, "", 1, LineShape::normal},
              {"expansion difference", l * 0.58e-6 * 0.1, {}, "da", 1, LineShape::rectangular},
              {"temperature difference", l * 11.5e-6 * 0.029, {}, "dT", 1, LineShape::rectangular},
              {"temperature", 0, {}, "T", 1, LineShape::normal},
              {"expansion", 0, {}, "a", 1, LineShape::rectangular},
              {"second order", l * 0.58e-6 * 0.41, {}, "da*T", 1, LineShape::normal},
              {"second order", l * 1.2e-6 * 0.029, {}, "a*dT", 1, LineShape::normal}};
  combine_budget(v);
  EXPECT_NEAR(v.u, 34, 0.5);  // published to two digits
  EXPECT_NEAR(monte_carlo(v, {400'000, 1, 0}).u, v.u, 0.1);
}

TEST(Jcgm100, CoverageFactorsOfTableG2) {
  // Rows of table G.2 (from memory): 95 %, 95.45 %, 99 %.
  EXPECT_NEAR(coverage_factor(0.95, 16.0), 2.12, 0.005);
  EXPECT_NEAR(coverage_factor(0.9545, 16.0), 2.17, 0.005);
  EXPECT_NEAR(coverage_factor(0.99, 16.0), 2.92, 0.005);
  EXPECT_NEAR(coverage_factor(0.95, std::nullopt), 1.960, 0.0005);
}

}  // namespace
}  // namespace rigproof
