// NIST Statistical Reference Datasets, lines through the origin (NoInt1, NoInt2): a pure scale
// error, through the least squares that the diagnosis ranks its signatures by. Certified: slope,
// its standard deviation, residual standard deviation, R².
#include <cmath>

#include <gtest/gtest.h>

#include "diagnose/signature_fit.h"

namespace rigproof {
namespace {

struct Certified {
  double slope, slope_sd, sd, r_squared;
};

void expect_certified(const std::vector<double>& x,
                      const std::vector<double>& y,
                      const Certified& c) {
  const auto n = static_cast<Eigen::Index>(x.size());
  const Eigen::VectorXd readings = Eigen::Map<const Eigen::VectorXd>(y.data(), n);
  Signature scale;
  scale.id = "scale";
  const SignatureDesign design(Eigen::Map<const Eigen::MatrixXd>(x.data(), n, 1), {scale});
  const auto fit = design.fit(design.projections(readings), {0});
  ASSERT_TRUE(fit.ok);
  const double total = readings.squaredNorm();
  const double sd = std::sqrt((total - fit.drop) / static_cast<double>(n - 1));
  EXPECT_NEAR(fit.coefficient[0] / c.slope, 1, 1e-13);
  EXPECT_NEAR(sd / c.sd, 1, 1e-11);  // what is left of squares 1,500 times as large
  EXPECT_NEAR(fit.u[0] * sd / c.slope_sd, 1, 1e-11);
  EXPECT_NEAR(fit.drop / total / c.r_squared, 1, 1e-13);
}

TEST(NistNoInt, One) {
  std::vector<double> x, y;
  for (int i = 0; i <= 10; ++i) {
    x.push_back(60 + i);
    y.push_back(130 + i);
  }
  expect_certified(
      x, y, {2.07438016528926, 0.0165289256198347, 3.56753034006338, 0.999365492298663});
}

TEST(NistNoInt, Two) {
  expect_certified({4, 5, 6},
                   {3, 4, 4},
                   {0.727272727272727, 0.0420827318078432, 0.369274472937998, 0.993348115299335});
}

}  // namespace
}  // namespace rigproof
