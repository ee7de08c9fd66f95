#include <limits>

#include <gtest/gtest.h>

#include "fit/fit.h"
#include "fit/sphere_start.h"
#include "samples.h"

namespace rigproof {
namespace {

using samples::Random;

const Sphere kBall{{12, -34, 600}, 15};

TEST(SphereFit, ExactPointsGiveTheExactSphere) {
  Random g(1);
  for (double half : {5.0, 20.0, 60.0, 90.0, 180.0}) {
    const Points p = samples::cap(g, 300, kBall, -Vec3::UnitZ(), half, 0);
    const SphereFit fit = fit_sphere(p);
    ASSERT_TRUE(fit.ok()) << half << ": " << to_string(fit.stop);
    // A cap of 5° makes the rounding of the points, 1e-13, 600 times larger at the centre.
    const double tolerance = half < 10 ? 1e-9 : 1e-11;
    EXPECT_NEAR((fit.sphere.center - kBall.center).norm(), 0, tolerance) << half;
    EXPECT_NEAR(fit.sphere.radius, 15, tolerance) << half;
    EXPECT_LT(fit.residuals.rms, 1e-12);
    EXPECT_EQ(fit.residuals.n, 300u);
  }
}

// At the minimum the residuals are orthogonal to the columns of J.
TEST(SphereFit, GradientVanishes) {
  Random g(2);
  const Points p = samples::cap(g, 5000, kBall, Vec3(0.3, 0.2, -1).normalized(), 60, 0.02);
  const SphereFit fit = fit_sphere(p);
  ASSERT_TRUE(fit.ok());
  Vec3 dn = Vec3::Zero();
  double sum = 0, square = 0, low = 0, high = 0;
  for (std::size_t i = 0; i < p.size(); ++i) {
    const double d = fit.sphere.deviation(p.at(i));
    dn += d * (p.at(i) - fit.sphere.center).normalized();
    sum += d;
    square += d * d;
    low = std::min(low, d);
    high = std::max(high, d);
  }
  EXPECT_LT(dn.norm(), 1e-8);
  EXPECT_LT(std::abs(sum), 1e-8);
  EXPECT_NEAR(fit.residuals.rms, std::sqrt(square / 5000), 1e-12);
  EXPECT_NEAR(fit.residuals.min, low, 1e-12);
  EXPECT_NEAR(fit.residuals.max, high, 1e-12);
}

// Where residuals are a bend of some tenths of a micrometre, their sum of squares is known to
// rounding only: a step to the minimum must not be refused because the sum seems to grow by that.
TEST(SphereFit, NearlyExactCapsOfAnySizeConverge) {
  constexpr double kHalf = 60, kBend = 2e-4;  // mm
  for (int zone = 0; zone < 150; ++zone) {
    Points points;
    points.origin = Vec3(-2, 2, 634);
    for (int i = -60; i <= 60; ++i)
      for (int j = -60; j <= 60; ++j) {
        const double x = i / kHalf + 0.0002 * zone, y = j / (kHalf + 0.37);
        const double z = -std::sqrt(std::max(0.0, 1 - x * x - y * y));
        if (!(z < -0.6 + 0.0014 * zone)) continue;
        const double bend = x * z + 0.3 * x * y * y + 0.2 * y + z * x * x;
        points.push(Vec3(0.1815, -0.4656, 648.3456) + (19.9924 + kBend * bend) * Vec3(x, y, z));
      }
    SphereFitOptions options;
    options.sensor = Vec3::Zero();
    options.threads = 1;
    const SphereFit fit = fit_sphere(points, options);
    EXPECT_TRUE(fit.ok()) << zone << ", " << points.size() << " points, " << fit.iterations;
  }
}

TEST(SphereFit, OriginFarAwayCostsNothing) {
  Random g(3);
  Points p = samples::cap(g, 2000, {{0, 0, 0}, 15}, -Vec3::UnitZ(), 60, 0.02);
  const SphereFit near = fit_sphere(p);
  p.origin = Vec3(1e6, -2e6, 3e6);
  const SphereFit far = fit_sphere(p);
  EXPECT_EQ(near.sphere.radius, far.sphere.radius);
  EXPECT_NEAR((far.sphere.center - p.origin - near.sphere.center).norm(), 0, 1e-9);
}

TEST(SphereFit, DegeneratePointsAreSaid) {
  const std::vector<std::vector<Vec3>> sets = {
      {},
      {{1, 2, 3}},
      {{0, 0, 0}, {1, 0, 0}, {0, 1, 0}},
      {{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {1, 1, 0}, {3, 2, 0}},
      {{0, 0, 0}, {1, 1, 1}, {2, 2, 2}, {3, 3, 3}, {7, 7, 7}},
      {{4, 5, 6}, {4, 5, 6}, {4, 5, 6}, {4, 5, 6}, {4, 5, 6}},
      {{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {0, 0, std::numeric_limits<double>::quiet_NaN()}},
      {{0, 0, 0}, {1e200, 0, 0}, {0, 1e200, 0}, {0, 0, 1e200}},
  };
  for (std::size_t k = 0; k < sets.size(); ++k) {
    EXPECT_EQ(fit_sphere(samples::of(sets[k])).stop, FitStop::degenerate) << k;
    EXPECT_EQ(fit_sphere_from(samples::of(sets[k]), {{0, 0, 0}, 1}).stop, FitStop::degenerate) << k;
    SphereFitOptions held;
    held.fixed_radius_mm = 1;
    if (k != 2) continue;  // three points with the radius held: two mirrored spheres, no sensor
    EXPECT_EQ(fit_sphere(samples::of(sets[k]), held).stop, FitStop::degenerate);
  }
}

TEST(SphereFit, PlaneWithNoiseNeverRunsAway) {
  Random g(4);
  int degenerate = 0;
  for (int seed = 0; seed < 40; ++seed) {
    const Points p = samples::plate(g, 50, {{0, 0, 600}, Vec3::UnitZ()}, 30, 30, 1e-9);
    const SphereFit fit = fit_sphere(p);
    EXPECT_TRUE(fit.sphere.center.allFinite());
    degenerate += fit.stop == FitStop::degenerate;
    if (fit.ok()) {
      EXPECT_LE(fit.sphere.radius, 1e6 * 30);
    }
  }
  EXPECT_GT(degenerate, 30);
}

TEST(SphereFit, HeldRadiusOfThreePointsNeedsTheSensor) {
  const Points p = samples::of({{3, 0, 600}, {-3, 0, 600}, {0, 3, 600}});
  SphereFitOptions options;
  options.fixed_radius_mm = 5;
  EXPECT_EQ(fit_sphere(p, options).stop, FitStop::degenerate);
  options.sensor = Vec3(0, 0, 0);
  const SphereFit fit = fit_sphere(p, options);
  ASSERT_TRUE(fit.ok());
  EXPECT_NEAR((fit.sphere.center - Vec3(0, 0, 604)).norm(), 0, 1e-9);
  EXPECT_EQ(fit.sphere.radius, 5);
  EXPECT_EQ(fit.cofactor.row(3).norm(), 0);
  options.sensor = Vec3(0, 0, 2000);
  EXPECT_NEAR((fit_sphere(p, options).sphere.center - Vec3(0, 0, 596)).norm(), 0, 1e-9);
}

// With the radius held a flat cap has a minimum on each side, and noise may favour the wrong one.
TEST(SphereFit, CentreStaysBehindTheSurface) {
  Random g(5);
  int fooled = 0;
  for (int seed = 0; seed < 60; ++seed) {
    const Points p = samples::cap(g, 12, {{0, 0, 615}, 15}, -Vec3::UnitZ(), 8, 0.1);
    SphereFitOptions options;
    options.fixed_radius_mm = 15;
    const SphereFit blind = fit_sphere(p, options);
    options.sensor = Vec3(0, 0, 0);
    const SphereFit seen = fit_sphere(p, options);
    ASSERT_TRUE(seen.ok()) << seed;
    EXPECT_GT(seen.sphere.center.z(), 605);
    if (blind.ok()) {
      EXPECT_LE(blind.residuals.rms, seen.residuals.rms * (1 + 1e-12));
      fooled += blind.sphere.center.z() < 600;
    }
  }
  EXPECT_GT(fooled, 5) << "the case that the sensor is for must occur";
}

// Free radius: a hollow seen from inside is no ball, whatever its sum of squares.
TEST(SphereFit, HollowIsNotABallForTheSensor) {
  Random g(6);
  const Points p = samples::cap(g, 500, {{0, 0, 585}, 15}, Vec3::UnitZ(), 40, 0.01);
  SphereFitOptions options;
  EXPECT_TRUE(fit_sphere(p, options).ok());
  options.sensor = Vec3(0, 0, 0);
  EXPECT_EQ(fit_sphere(p, options).stop, FitStop::degenerate);
  EXPECT_EQ(fit_sphere_from(p, {{0, 0, 585}, 15}, options).stop, FitStop::degenerate);
}

TEST(SphereFit, AnyStartLeadsToTheSameSphere) {
  Random g(7);
  const Points p = samples::cap(g, 1000, kBall, -Vec3::UnitZ(), 60, 0.05);
  const SphereFit best = fit_sphere(p);
  for (int k = 0; k < 60; ++k) {
    const double away = std::pow(10, samples::uniform(g, -2, 5));
    const Vec3 center = kBall.center + away * samples::direction(g);
    const Sphere start{center, samples::uniform(g, 0.1, 100)};
    SphereFitOptions options;
    options.sensor = Vec3(0, 0, 0);
    const SphereFit fit = fit_sphere_from(p, start, options);
    ASSERT_TRUE(fit.ok()) << to_string(fit.stop) << " from " << start.center.transpose();
    EXPECT_NEAR((fit.sphere.center - best.sphere.center).norm(), 0, 1e-8);
  }
}

// Caps so flat and noisy that the sum of squares may have several minima: no start finds a lower
// one than the fit without a sensor took.
TEST(SphereFit, TheSmallestSumOfSquaresWins) {
  Random g(13);
  int ok = 0;
  for (int k = 0; k < 100; ++k) {
    const Points p = samples::cap(g, 10, {{0, 0, 615}, 15}, -Vec3::UnitZ(), k % 2 ? 10 : 20, 0.3);
    const SphereFit fit = fit_sphere(p);
    ok += fit.ok();
    for (int j = 0; j < 10; ++j) {
      const double away = samples::uniform(g, 5, 35);
      const Vec3 start = Vec3(0, 0, 600) + away * samples::direction(g);
      const SphereFit other = fit_sphere_from(p, {start, 15});
      if (!other.ok()) continue;
      EXPECT_GE(other.residuals.rms, fit.residuals.rms * (1 - 1e-9)) << k;
    }
  }
  EXPECT_GE(ok, 95);
}

TEST(SphereFit, IterationLimitIsSaid) {
  Random g(8);
  const Points p = samples::cap(g, 500, kBall, -Vec3::UnitZ(), 30, 0.5);
  SphereFitOptions options;
  options.max_iterations = 1;
  EXPECT_EQ(fit_sphere(p, options).stop, FitStop::max_iterations);
}

TEST(SphereFit, ThreadsNeverChangeABit) {
  Random g(9);
  const Points p = samples::cap(g, 200'001, kBall, -Vec3::UnitZ(), 60, 0.02);
  SphereFitOptions one, many;
  one.threads = 1;
  const SphereFit a = fit_sphere(p, one);
  for (int threads : {2, 3, 7}) {
    many.threads = threads;
    const SphereFit b = fit_sphere(p, many);
    EXPECT_EQ(a.sphere.center, b.sphere.center);
    EXPECT_EQ(a.sphere.radius, b.sphere.radius);
    EXPECT_EQ(a.residuals.rms, b.residuals.rms);
    EXPECT_EQ(a.residuals.range(), b.residuals.range());
    EXPECT_EQ(a.cofactor, b.cofactor);
  }
}

// --- closed forms ---------------------------------------------------------------------------
// Least squares on a cap of half-angle α, independent radial noise σ, c0 = cos α. The moments are
// integrals over the cap, so the sample is a fine midpoint rule rather than a random one.
enum class Sampling { by_area, by_projection };

Points cap_rule(double half_angle_deg, Sampling sampling) {
  const double alpha = half_angle_deg * std::numbers::pi / 180;
  const double c0 = std::cos(alpha), s2 = std::sin(alpha) * std::sin(alpha);
  const int rings = 400, per_ring = 24;
  Points p;
  for (int i = 0; i < rings; ++i) {
    const double t = (i + 0.5) / rings;
    const double c = sampling == Sampling::by_area ? c0 + (1 - c0) * t : std::sqrt(1 - s2 * t);
    const double s = std::sqrt(1 - c * c);
    for (int k = 0; k < per_ring; ++k) {
      const double phi = 2 * std::numbers::pi * k / per_ring;
      p.push_local(15 * s * std::cos(phi), 15 * s * std::sin(phi), 15 * c);
    }
  }
  return p;
}

struct Repeatability {
  double x, z, r, z_held;
};

Repeatability from_cofactor(const Points& p) {
  const double n = static_cast<double>(p.size());
  const SphereFit free = fit_sphere(p);
  SphereFitOptions options;
  options.fixed_radius_mm = 15;
  const SphereFit held = fit_sphere(p, options);
  return {std::sqrt(n * free.cofactor(0, 0)),
          std::sqrt(n * free.cofactor(2, 2)),
          std::sqrt(n * free.cofactor(3, 3)),
          std::sqrt(n * held.cofactor(2, 2))};
}

TEST(SphereFitClosedForm, RepeatabilityOfACapUniformByArea) {
  struct Row {
    double half, z, r, z_held;
  };
  // √n·u/σ: u²(z) = 12σ²/[n(1−c0)²], u²(r) = (σ²/n)(1+3(1+c0)²/(1−c0)²), held radius u²(z) =
  // σ²/(nq) with q = (1+c0+c0²)/3.
  for (const Row& row : {Row{30, 25.856, 24.145, 1.071},
                         Row{45, 11.827, 10.145, 1.166},
                         Row{60, 6.928, 5.292, 1.309},
                         Row{90, 3.464, 2.000, 1.732}}) {
    const Repeatability u = from_cofactor(cap_rule(row.half, Sampling::by_area));
    EXPECT_NEAR(u.z, row.z, 6e-4) << row.half;
    EXPECT_NEAR(u.r, row.r, 6e-4) << row.half;
    EXPECT_NEAR(u.z_held, row.z_held, 6e-4) << row.half;
    const double c0 = std::cos(row.half * std::numbers::pi / 180);
    EXPECT_NEAR(u.x, std::sqrt(6 / ((1 - c0) * (2 + c0))), 1e-4) << row.half;
  }
}

TEST(SphereFitClosedForm, RepeatabilityOfACapSampledAsAnImage) {
  struct Row {
    double half, z, r;
  };
  for (const Row& row : {Row{60, 7.060, 5.582}, Row{90, 4.243, 3.000}}) {
    const Repeatability u = from_cofactor(cap_rule(row.half, Sampling::by_projection));
    EXPECT_NEAR(u.z, row.z, 2e-3) << row.half;
    EXPECT_NEAR(u.r, row.r, 2e-3) << row.half;
  }
}

TEST(SphereFitClosedForm, HeldRadiusMovesTheCentreByMOverQ) {
  const double c0 = 0.5, m = (1 + c0) / 2, q = (1 + c0 + c0 * c0) / 3, wrong = 0.01;
  SphereFitOptions options;
  options.fixed_radius_mm = 15 + wrong;
  const SphereFit fit = fit_sphere(cap_rule(60, Sampling::by_area), options);
  EXPECT_NEAR(fit.sphere.center.z(), -wrong * m / q, 1e-5);
}

// The covariance is not only a formula: the scatter of fits over noise agrees with it.
TEST(SphereFitClosedForm, ScatterOfFitsIsTheCofactorTimesTheVariance) {
  Random g(10);
  const int fits = 1000, n = 300;
  const double sigma = 0.02;
  double zz = 0, rr = 0, expect_z = 0, expect_r = 0;
  for (int k = 0; k < fits; ++k) {
    const SphereFit fit = fit_sphere(samples::cap(g, n, kBall, -Vec3::UnitZ(), 60, sigma));
    zz += std::pow(fit.sphere.center.z() - kBall.center.z(), 2);
    rr += std::pow(fit.sphere.radius - kBall.radius, 2);
    expect_z += fit.cofactor(2, 2) * sigma * sigma;
    expect_r += fit.cofactor(3, 3) * sigma * sigma;
  }
  // The relative standard deviation of a standard deviation of 1000 is 2.2 %; three of it.
  EXPECT_NEAR(std::sqrt(zz / expect_z), 1, 0.067);
  EXPECT_NEAR(std::sqrt(rr / expect_r), 1, 0.067);
}

// The algebraic sphere is a start, not an answer: on a cap its radius is biased by
// σ²/2R − σ²m²/(R·V), m = (1+c0)/2, V = (1−c0)²/12, however many points there are.
TEST(SphereFitClosedForm, AlgebraicRadiusIsBiasedGeometricIsNot) {
  Random g(11);
  const double sigma = 0.05, c0 = std::cos(std::numbers::pi / 6), m = (1 + c0) / 2;
  const double bias = sigma * sigma / 30 - sigma * sigma * m * m / (15 * (1 - c0) * (1 - c0) / 12);
  EXPECT_NEAR(bias, -0.097, 0.0005);
  const int fits = 16;
  const std::size_t n = 40'000;
  double algebraic = 0, geometric = 0;
  for (int k = 0; k < fits; ++k) {
    const Points p = samples::cap(g, n, kBall, -Vec3::UnitZ(), 30, sigma);
    SphereShape shape;
    algebraic += sphere_starts(moments(p), nullptr, shape).front().radius / fits;
    geometric += fit_sphere(p).sphere.radius / fits;
  }
  const double u = 24.145 * sigma / std::sqrt(static_cast<double>(n) * fits);  // 1.5 µm
  EXPECT_NEAR(algebraic - 15, bias, 4 * u);
  EXPECT_NEAR(geometric - 15, 0, 4 * u);
}

// --- properties -----------------------------------------------------------------------------
TEST(SphereFitProperty, FollowsRigidMotionScaleAndOrder) {
  Random g(12);
  for (int k = 0; k < 40; ++k) {
    const double half = samples::uniform(g, 30, 150);
    const std::size_t n = 20 + g() % 2000;
    const Points p = samples::cap(g, n, kBall, samples::direction(g), half, 0.03);
    const SphereFit fit = fit_sphere(p);
    ASSERT_TRUE(fit.ok());

    const RigidTransform t = samples::motion(g, 500);
    const SphereFit moved = fit_sphere(samples::moved(p, t));
    EXPECT_NEAR((moved.sphere.center - t * fit.sphere.center).norm(), 0, 1e-9);
    EXPECT_NEAR(moved.sphere.radius, fit.sphere.radius, 1e-9);

    const SphereFit large = fit_sphere(samples::scaled(p, 7.5));
    EXPECT_NEAR(large.sphere.radius / 7.5, fit.sphere.radius, 1e-11 * 15);
    EXPECT_NEAR(large.residuals.rms / 7.5, fit.residuals.rms, 1e-12);

    const SphereFit mixed = fit_sphere(samples::shuffled(p, g));
    EXPECT_NEAR((mixed.sphere.center - fit.sphere.center).norm(), 0, 1e-12 * 600);
    EXPECT_NEAR(mixed.sphere.radius, fit.sphere.radius, 1e-12 * 600);
  }
}

}  // namespace
}  // namespace rigproof
