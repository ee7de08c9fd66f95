// JCGM 100:2008 (GUM), H.1: calibration of an end gauge. nm.
#include <gtest/gtest.h>

#include "evaluate/distribution.h"
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
  EXPECT_NEAR(v.u, 34, 0.5);
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
