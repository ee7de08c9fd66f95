#include <gtest/gtest.h>

#include "fit/fit.h"
#include "samples.h"

namespace rigproof {
namespace {

using samples::Random;

const Plane kPlate{{10, -20, 600}, Vec3(0.1, -0.2, -1).normalized()};

// Normal by one-sided Jacobi rotations on the centred n×3 matrix itself: a singular value
// decomposition that never forms squares, and shares nothing with the fit.
Vec3 normal_by_singular_vectors(const Points& points) {
  Vec3 mean = Vec3::Zero();
  for (std::size_t i = 0; i < points.size(); ++i) mean += points.local(i);
  mean /= static_cast<double>(points.size());
  std::vector<Vec3> rows;
  for (std::size_t i = 0; i < points.size(); ++i) rows.push_back(points.local(i) - mean);
  Mat3 v = Mat3::Identity();
  for (int sweep = 0; sweep < 30; ++sweep)
    for (const auto& [a, b] : {std::pair(0, 1), std::pair(0, 2), std::pair(1, 2)}) {
      double aa = 0, bb = 0, ab = 0;
      for (const Vec3& r : rows) aa += r[a] * r[a], bb += r[b] * r[b], ab += r[a] * r[b];
      if (ab == 0) continue;
      const double zeta = (bb - aa) / (2 * ab);
      const double t = (zeta < 0 ? -1 : 1) / (std::abs(zeta) + std::hypot(1, zeta));
      const double c = 1 / std::hypot(1, t), s = c * t;
      for (Vec3& r : rows) {
        const double ra = r[a], rb = r[b];
        r[a] = c * ra - s * rb;
        r[b] = s * ra + c * rb;
      }
      for (int k = 0; k < 3; ++k) {
        const double va = v(k, a), vb = v(k, b);
        v(k, a) = c * va - s * vb;
        v(k, b) = s * va + c * vb;
      }
    }
  Vec3 size = Vec3::Zero();
  for (const Vec3& r : rows) size += r.cwiseAbs2();
  Eigen::Index least;
  size.minCoeff(&least);
  return v.col(least);
}

TEST(PlaneFit, ExactPoints) {
  Random g(1);
  const Points p = samples::plate(g, 500, kPlate, 300, 200, 0);
  const PlaneFit fit = fit_plane(p, Vec3(0, 0, 0));
  ASSERT_TRUE(fit.ok());
  EXPECT_NEAR((fit.plane.normal - kPlate.normal).norm(), 0, 1e-14);
  EXPECT_NEAR(fit.plane.deviation(kPlate.point), 0, 1e-12);
  EXPECT_LT(fit.residuals.range(), 1e-12);
}

TEST(PlaneFit, IsTheSingularValueDecomposition) {
  Random g(2);
  for (double height : {200.0, 20.0, 2.0, 0.05})
    for (int k = 0; k < 5; ++k) {
      const Points p = samples::plate(g, 400, kPlate, 300, height, 0.01);
      const Vec3 reference = normal_by_singular_vectors(p);
      const Vec3 normal = fit_plane(p).plane.normal;
      EXPECT_NEAR(normal.cross(reference).norm(), 0, 1e-12) << height;
    }
}

TEST(PlaneFit, AxesArePrincipalAndRightHanded) {
  Random g(3);
  const Points p = samples::plate(g, 2000, kPlate, 300, 200, 0.01);
  const PlaneFit fit = fit_plane(p, Vec3(0, 0, 0));
  EXPECT_NEAR(fit.axis_u.dot(fit.axis_v), 0, 1e-15);
  EXPECT_NEAR((fit.axis_u.cross(fit.axis_v) - fit.plane.normal).norm(), 0, 1e-15);
  double uu = 0, vv = 0, uv = 0;
  for (std::size_t i = 0; i < p.size(); ++i) {
    const Vec3 q = p.at(i) - fit.plane.point;
    const double u = q.dot(fit.axis_u), v = q.dot(fit.axis_v);
    uu += u * u, vv += v * v, uv += u * v;
  }
  EXPECT_GT(uu, vv);
  EXPECT_NEAR(uv / uu, 0, 1e-9);
  EXPECT_NEAR(fit.cofactor(0, 0), 1 / 2000.0, 1e-15);
  EXPECT_NEAR(fit.cofactor(1, 1) * uu, 1, 1e-9);
  EXPECT_NEAR(fit.cofactor(2, 2) * vv, 1, 1e-9);
}

// Fits over noise scatter as the cofactor says; offset 1/n, tilts 12/(n·length²) on a rectangle.
TEST(PlaneFit, ScatterOfFitsIsTheCofactorTimesTheVariance) {
  Random g(4);
  const double sigma = 0.02, n = 400;
  const Plane level{{0, 0, 600}, -Vec3::UnitZ()};
  const int fits = 1000;
  double offset = 0, along = 0, across = 0;
  for (int k = 0; k < fits; ++k) {
    const PlaneFit fit = fit_plane(samples::plate(g, 400, level, 300, 100, sigma), Vec3(0, 0, 0));
    offset += std::pow(fit.plane.deviation(level.point), 2);
    along += std::pow(fit.plane.normal.x(), 2);
    across += std::pow(fit.plane.normal.y(), 2);
  }
  const double u = sigma / std::sqrt(n);
  EXPECT_NEAR(std::sqrt(offset / fits) / u, 1, 0.067);
  EXPECT_NEAR(std::sqrt(along / fits) / (u * std::sqrt(12.0) / 300), 1, 0.067);
  EXPECT_NEAR(std::sqrt(across / fits) / (u * std::sqrt(12.0) / 100), 1, 0.067);
}

TEST(PlaneFit, AccurateFarFromTheOrigin) {
  Random g(5);
  Points p = samples::plate(g, 1000, {{0, 0, 0}, Vec3(0.1, -0.2, -1).normalized()}, 300, 200, 0.01);
  const PlaneFit near = fit_plane(p);
  p.origin = Vec3(1e7, 1e7, 1e7);
  const PlaneFit origin = fit_plane(p);
  EXPECT_EQ(near.plane.normal, origin.plane.normal);
  Points far;
  for (std::size_t i = 0; i < p.size(); ++i)
    far.push_local(p.x[i] + 0x1p17, p.y[i] - 0x1p17, p.z[i] + 0x1p17);
  const PlaneFit shifted = fit_plane(far);
  // The shift rounds each coordinate by up to 1.5e-11.
  EXPECT_NEAR((shifted.plane.normal - near.plane.normal).norm(), 0, 1e-12);
  EXPECT_NEAR(shifted.residuals.range(), near.residuals.range(), 5e-11);
}

TEST(PlaneFit, NormalLooksAtTheSensor) {
  Random g(6);
  const Points p = samples::plate(g, 100, kPlate, 300, 200, 0.01);
  for (const Vec3& sensor : {Vec3(0, 0, 0), Vec3(0, 0, 2000)}) {
    const PlaneFit fit = fit_plane(p, sensor);
    EXPECT_GT(fit.plane.deviation(sensor), 0);
  }
}

TEST(PlaneFit, DegeneratePointsAreSaid) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const std::vector<std::vector<Vec3>> sets = {{},
                                               {{1, 2, 3}},
                                               {{1, 2, 3}, {2, 2, 3}},
                                               {{0, 0, 0}, {1, 1, 1}, {2, 2, 2}, {5, 5, 5}},
                                               {{4, 5, 6}, {4, 5, 6}, {4, 5, 6}, {4, 5, 6}},
                                               {{0, 0, 0}, {1, 0, nan}, {0, 1, 0}, {3, 1, 0}}};
  for (const auto& set : sets)
    EXPECT_EQ(fit_plane(samples::of(set)).stop, FitStop::degenerate) << set.size();
  EXPECT_TRUE(fit_plane(samples::of({{0, 0, 0}, {1, 0, 0}, {0, 1, 0}})).ok());
}

TEST(PlaneFit, ThreadsNeverChangeABit) {
  Random g(7);
  const Points p = samples::plate(g, 200'003, kPlate, 300, 200, 0.02);
  const PlaneFit a = fit_plane(p, {}, 1);
  for (int threads : {2, 5}) {
    const PlaneFit b = fit_plane(p, {}, threads);
    EXPECT_EQ(a.plane.point, b.plane.point);
    EXPECT_EQ(a.plane.normal, b.plane.normal);
    EXPECT_EQ(a.axis_u, b.axis_u);
    EXPECT_EQ(a.residuals.rms, b.residuals.rms);
    EXPECT_EQ(a.residuals.range(), b.residuals.range());
    EXPECT_EQ(a.cofactor, b.cofactor);
  }
}

TEST(PlaneFitProperty, FollowsRigidMotionScaleAndOrder) {
  Random g(8);
  for (int k = 0; k < 40; ++k) {
    const Points p = samples::plate(g, 10 + g() % 2000, kPlate, 300, 200, 0.02);
    const PlaneFit fit = fit_plane(p);
    const RigidTransform t = samples::motion(g, 500);
    const PlaneFit moved = fit_plane(samples::moved(p, t));
    EXPECT_NEAR(moved.plane.normal.cross(t.rotation * fit.plane.normal).norm(), 0, 1e-13);
    EXPECT_NEAR(moved.residuals.range(), fit.residuals.range(), 1e-11);
    const PlaneFit large = fit_plane(samples::scaled(p, 7.5));
    EXPECT_NEAR(large.residuals.range() / 7.5, fit.residuals.range(), 1e-12);
    const PlaneFit mixed = fit_plane(samples::shuffled(p, g));
    EXPECT_NEAR((mixed.plane.normal - fit.plane.normal).norm(), 0, 1e-12);
    EXPECT_NEAR(mixed.residuals.rms, fit.residuals.rms, 1e-12);
  }
}

}  // namespace
}  // namespace rigproof
