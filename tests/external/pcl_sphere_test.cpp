// Point Cloud Library, test/sample_consensus/test_sample_consensus_quadric_models.cpp,
// SampleConsensusModelSphere: nine of ten points within 0.03 of a sphere of centre 2, 2, 2 and
// radius 1 (there to 1e-2).
#include <gtest/gtest.h>

#include "fit/fit.h"
#include "reference_table.h"

namespace rigproof {
namespace {

TEST(PclSphere, NineInliers) {
  const Points all = reference::table("pcl_sphere_10pts.csv").points();
  Points inliers;
  for (std::size_t i = 0; i < 9; ++i) inliers.push_local(all.x[i], all.y[i], all.z[i]);
  const SphereFit fit = fit_sphere(inliers);
  ASSERT_TRUE(fit.ok());
  for (int k = 0; k < 3; ++k) EXPECT_NEAR(fit.sphere.center[k] / fit.sphere.radius, 2, 1e-2);
  EXPECT_LT(std::max(fit.residuals.max, -fit.residuals.min), 0.03);
  EXPECT_GT(std::abs(fit.sphere.deviation(all.at(9))), 0.03);
}

// All ten: with an outlier as large as the ball the steps shrink only linearly. Reference: the same
// minimum by Gauss–Newton in 40-digit decimal arithmetic.
TEST(PclSphere, LeastSquaresOfAllTen) {
  const SphereFit fit = fit_sphere(reference::table("pcl_sphere_10pts.csv").points());
  ASSERT_TRUE(fit.ok());
  const Vec3 center(-1.552428143198925, 3.867820022343711, 1.630919977849266);
  EXPECT_NEAR((fit.sphere.center - center).norm(), 0, 1e-10);
  EXPECT_NEAR(fit.sphere.radius, 4.424199554058372, 1e-10);
}

}  // namespace
}  // namespace rigproof
