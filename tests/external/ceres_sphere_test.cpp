// Ceres Solver as an independent geometric least-squares solver (automatic derivatives, another
// trust region, its own covariance), on published points and random caps.
#include <ceres/ceres.h>
#include <gtest/gtest.h>

#include "../fit/samples.h"
#include "fit/fit.h"
#include "reference_table.h"

namespace rigproof {
namespace {

struct Distance {
  Vec3 p;
  template <class T>
  bool operator()(const T* s, T* d) const {
    const T x = p.x() - s[0], y = p.y() - s[1], z = p.z() - s[2];
    *d = sqrt(x * x + y * y + z * z) - s[3];
    return true;
  }
};

struct Reference {
  double s[4];
  double covariance[16];
};

Reference by_ceres(const Points& p, const Sphere& start, bool hold_radius) {
  Reference r{{start.center.x(), start.center.y(), start.center.z(), start.radius}, {}};
  ceres::Problem problem;
  for (std::size_t i = 0; i < p.size(); ++i)
    problem.AddResidualBlock(
        new ceres::AutoDiffCostFunction<Distance, 1, 4>(new Distance{p.at(i)}), nullptr, r.s);
  if (hold_radius) problem.SetManifold(r.s, new ceres::SubsetManifold(4, {3}));
  ceres::Solver::Options options;
  options.logging_type = ceres::SILENT;
  options.max_num_iterations = 500;
  options.function_tolerance = 0;
  options.gradient_tolerance = 1e-14;
  options.parameter_tolerance = 1e-15;
  options.linear_solver_type = ceres::DENSE_QR;
  ceres::Solver::Summary summary;
  ceres::Solve(options, &problem, &summary);
  ceres::Covariance::Options how;
  how.algorithm_type = ceres::DENSE_SVD;
  ceres::Covariance covariance(how);
  const std::vector<std::pair<const double*, const double*>> blocks = {{r.s, r.s}};
  EXPECT_TRUE(covariance.Compute(blocks, &problem));
  covariance.GetCovarianceBlock(r.s, r.s, r.covariance);
  return r;
}

void expect_same(const Points& p, const SphereFit& fit, const Sphere& start, bool held) {
  ASSERT_TRUE(fit.ok());
  const Reference r = by_ceres(p, start, held);
  const double scale = fit.sphere.radius + fit.sphere.center.norm();
  for (int k = 0; k < 3; ++k) EXPECT_NEAR(fit.sphere.center[k], r.s[k], 1e-9 * scale);
  EXPECT_NEAR(fit.sphere.radius, r.s[3], 1e-9 * scale);
  for (int a = 0; a < 4; ++a)
    for (int b = 0; b < 4; ++b)
      EXPECT_NEAR(fit.cofactor(a, b), r.covariance[4 * a + b], 1e-6 * fit.cofactor.norm());
}

// VXL, core/vgl/algo/tests/test_fit_sphere_3d.cxx: 25 measured points, no answer printed there.
TEST(CeresSphere, VxlMeasuredCap) {
  const Points p = reference::table("vxl_actual_sphere_25pts.csv").points();
  const SphereFit fit = fit_sphere(p);
  expect_same(p, fit, {fit.sphere.center + Vec3(1, -1, 2), fit.sphere.radius + 1}, false);
}

TEST(CeresSphere, RandomCaps) {
  samples::Random g(1);
  for (int k = 0; k < 30; ++k) {
    const Sphere ball{{samples::uniform(g, -100, 100), 20, 600}, samples::uniform(g, 5, 50)};
    const double half = samples::uniform(g, 25, 180), sigma = samples::uniform(g, 0.001, 0.3);
    const std::size_t n = 30 + g() % 300;
    const Points p = samples::cap(g, n, ball, samples::direction(g), half, sigma);
    expect_same(p, fit_sphere(p), {ball.center + samples::direction(g), ball.radius + 0.5}, false);
    SphereFitOptions options;
    options.fixed_radius_mm = ball.radius;
    expect_same(
        p, fit_sphere(p, options), {ball.center + 0.1 * samples::direction(g), ball.radius}, true);
  }
}

TEST(CeresSphere, RealBall) {
  RIGPROOF_SHARED_FILE(path, "scans/kinect_spheres/ball_04.ply");
  const Points p = reference::read_ply(path);
  const SphereFit fit = fit_sphere(p);
  expect_same(p, fit, {fit.sphere.center + Vec3(3, -2, 5), fit.sphere.radius + 4}, false);
}

}  // namespace
}  // namespace rigproof
