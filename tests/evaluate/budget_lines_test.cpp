#include <gtest/gtest.h>

#include "evaluate/budget.h"

// Every line of the budget against its formula in budget.h, by hand: a rectangular distribution of
// half-width a has the standard uncertainty a/√3 (JCGM 100:2008, 4.3.7).
namespace rigproof {
namespace {

const double kSqrt3 = std::sqrt(3.0);

Date day(int year, unsigned month, unsigned of_month) {
  return std::chrono::year(year) / std::chrono::month(month) / std::chrono::day(of_month);
}

TEST(BudgetLines, OfTheCertificate) {
  Artefact a;
  a.serial = "bar-1";
  EXPECT_DOUBLE_EQ(calibration_line({a, "A"}, 0.0012).u, 0.0006);  // k = 2 unless stated
  a.k = 1;
  EXPECT_DOUBLE_EQ(calibration_line({a, "A"}, 0.0012).u, 0.0012);
  a.k = 3;
  const BudgetLine line = calibration_line({a, "A"}, 0.0012);
  EXPECT_DOUBLE_EQ(line.u, 0.0004);
  EXPECT_EQ(line.shape, LineShape::normal);
  EXPECT_EQ(line.sensitivity, -1);  // a longer reference makes the deviation smaller
  EXPECT_EQ(line.shared, calibration_line({a, "A"}, 0.5).shared);
  EXPECT_NE(line.shared, calibration_line({a, "B"}, 0.0012).shared);
  EXPECT_DOUBLE_EQ(form_line({a, "A"}, 0.0008).u, 0.0004);
  EXPECT_EQ(form_line({a, "A"}, 0.0008).sensitivity, 1);
}

TEST(BudgetLines, DriftGrowsWithTheYearsEitherWay) {
  Artefact a;
  a.drift_mm_per_year = -0.002;
  EXPECT_EQ(drift_line({a, "A"}, day(2027, 1, 1)).u, 0);  // no date of calibration
  a.date = day(2023, 1, 1);
  EXPECT_EQ(drift_line({a, "A"}, std::nullopt).u, 0);
  for (const Date& test : {day(2027, 1, 1), day(2019, 1, 1)}) {  // 1461 days are four years
    const BudgetLine line = drift_line({a, "A"}, test);
    EXPECT_NEAR(line.u, 0.008 / kSqrt3, 1e-15);
    EXPECT_EQ(line.shape, LineShape::rectangular);
    EXPECT_EQ(line.sensitivity, -1);
  }
}

TEST(BudgetLines, OfTheArtefactAsItStands) {
  Artefact a;
  EXPECT_EQ(bending_line({a, "A-B"}).u, 0);
  a.support_mm = 0.0009;
  a.coating_mm = 0.001;
  a.bending = Bending{40, 5};
  EXPECT_NEAR(support_line({a, "A-B"}).u, 0.0009 / kSqrt3, 1e-15);
  EXPECT_NEAR(coating_line({a, "A"}, 1).u, 0.001 / kSqrt3, 1e-15);
  EXPECT_NEAR(coating_line({a, "A"}, 2).u, 0.002 / kSqrt3, 1e-15);
  EXPECT_NEAR(bending_line({a, "A-B"}).u, 2 * 40 * 5e-6 / kSqrt3, 1e-15);
  for (const BudgetLine& line :
       {support_line({a, "A-B"}), coating_line({a, "A"}, 1), bending_line({a, "A-B"})}) {
    EXPECT_EQ(line.shape, LineShape::rectangular);
    EXPECT_EQ(line.sensitivity, 1);
    EXPECT_FALSE(line.dof.has_value());
  }
}

TEST(BudgetLines, OfTheNumbersAndTheZone) {
  // Rounding to whole steps is rectangular over one step: step/√12.
  EXPECT_NEAR(rounding_line(0.001, 3).u, 0.003 / std::sqrt(12.0), 1e-15);
  EXPECT_NEAR(zone_line(0.251, 0.2505).u, 0.00025, 1e-15);
  EXPECT_NEAR(zone_line(0.2505, 0.251).u, 0.00025, 1e-15);
  EXPECT_EQ(zone_line(1, 2).dof, 8);
  EXPECT_TRUE(zone_line(1, 2).shared.empty());
}

TEST(BudgetLines, PooledNoiseScalesTheRepeatabilityByTheRootOfTheAreas) {
  TestValue v;
  v.u_fit = 0.002;
  v.noise_area = 4;
  ZoneNoise pooled;
  pooled.area = 9;
  with_pooled_noise(v, pooled);  // without pairs it says nothing
  EXPECT_EQ(v.u_fit, 0.002);
  pooled.pairs = 1;
  with_pooled_noise(v, pooled);
  EXPECT_NEAR(v.u_fit, 0.003, 1e-15);
  EXPECT_EQ(v.noise_area, 9);
}

// An extreme of n/A independent normals does not grow with √A: √2 s π/√6 / √(2 ln(n/A)).
TEST(BudgetLines, PooledNoiseCountsTheIndependentPointsOfARangeAnew) {
  TestValue v;
  v.u_fit = 0.002;
  v.noise_area = 4;
  v.noise_sd = 0.01;
  v.points = 9000;
  ZoneNoise pooled;
  pooled.area = 9;
  pooled.pairs = 1;
  with_pooled_noise(v, pooled);
  const double pi = std::acos(-1);
  EXPECT_NEAR(v.u_fit, 0.01 * pi / std::sqrt(3 * 2 * std::log(1000)), 1e-12);
}

}  // namespace
}  // namespace rigproof
