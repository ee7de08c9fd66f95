#include <gtest/gtest.h>

#include "contact_widths.h"
#include "fit/fit.h"
#include "fit/minimax.h"
#include "samples.h"

namespace rigproof {
namespace {

using samples::Random;

double width_about(const Points& p, const Vec3& center) {
  double low = 1e300, high = 0;
  for (std::size_t i = 0; i < p.size(); ++i) {
    const double rho = (p.at(i) - center).norm();
    low = std::min(low, rho);
    high = std::max(high, rho);
  }
  return high - low;
}

// Two contacts on one sphere across a triangle of contacts on the other: the normals of both have a
// common convex combination, which makes the shell a strict local minimum. The rest lies inside it.
Points constructed(Random& g, const Vec3& center, double r, double width, bool two_outside, int n) {
  const RigidTransform turn = samples::motion(g, 0);
  const double tilt = samples::uniform(g, -0.3, 0.3);
  Points p;
  p.origin = center.array().round();
  const double pair = r + (two_outside ? 0.5 : -0.5) * width;
  const double triple = r - (two_outside ? 0.5 : -0.5) * width;
  const double s = std::sqrt(1 - tilt * tilt);
  for (double sign : {1.0, -1.0}) p.push(center + turn.rotation * (pair * Vec3(sign * s, 0, tilt)));
  // The triangle lies across the pair and holds the middle (0, 0, tilt) of the two.
  for (double phi : {0.3, 2.4, 4.5})
    p.push(center + turn.rotation * (triple * Vec3(0, std::cos(phi), std::sin(phi))));
  for (int i = 0; i < n; ++i) {
    const double rho = r + samples::uniform(g, -0.45, 0.45) * width;
    p.push(center + rho * samples::direction(g));
  }
  return samples::shuffled(p, g);
}

TEST(MinimumZoneSphere, ConstructedShells) {
  Random g(1);
  for (int k = 0; k < 40; ++k) {
    const Vec3 center(10, -20, 600);
    const bool two_outside = k % 2;
    const int n = k % 4 < 2 ? 100 : 5000;
    Points p = constructed(g, center, 25, 0.03, two_outside, n);
    const SphereFit start = fit_sphere(p);
    const SphereZone zone = minimum_zone_sphere(p, start.sphere);
    EXPECT_TRUE(zone.exact) << k;
    EXPECT_LE(zone.width(), 0.03 + 1e-11) << k;
    EXPECT_LE(zone.width(), start.residuals.range());
    for (int i = 0; i < 100; ++i) {
      const double away = std::pow(10, samples::uniform(g, -6, -3));
      EXPECT_GE(width_about(p, zone.center + away * samples::direction(g)), zone.width() - 1e-12);
    }
    EXPECT_NEAR(width_about(p, zone.center), zone.width(), 1e-12);
    EXPECT_NEAR(contacts::width_of_shell(zone.inner_points, zone.outer_points), zone.width(), 1e-10)
        << k;
  }
}

// With few other points the five contacts of the construction are the only minimum next to it.
TEST(MinimumZoneSphere, ConstructedContactsAreFound) {
  Random g(2);
  for (int k = 0; k < 20; ++k) {
    const Vec3 center(10, -20, 600);
    const Points p = constructed(g, center, 25, 0.03, k % 2, 0);
    const SphereZone zone = minimum_zone_sphere(p, {center + 0.005 * samples::direction(g), 25});
    EXPECT_TRUE(zone.exact);
    EXPECT_NEAR(zone.width(), 0.03, 1e-12);
    EXPECT_NEAR((zone.center - center).norm(), 0, 1e-9);
    EXPECT_NEAR(zone.inner, 24.985, 1e-9);
    EXPECT_NEAR(zone.outer, 25.015, 1e-9);
    EXPECT_NEAR(contacts::width_of_shell(zone.inner_points, zone.outer_points), 0.03, 1e-12);
  }
}

// Two against two contacts are balanced but a saddle: along z the inner distances grow faster than
// the outer ones. Started there, the search must leave it until the fifth point stops it.
TEST(MinimumZoneSphere, LeavesTheSaddle) {
  const double down = (25.015 * 25.015 - 625) / 50, up = (625 - 24.985 * 24.985) / 50;
  const double below = 25 + down - std::hypot(24.985, down);
  const double above = std::hypot(25.015, up) - (25 - up);
  for (const Vec3& at : {Vec3(0, 0, 0), Vec3(300, -40, 900)}) {
    Points p;
    for (double s : {1.0, -1.0}) {
      p.push(at + Vec3(25.015 * s, 0, 0));
      p.push(at + Vec3(0, 24.985 * s, 0));
    }
    p.push(at + Vec3(0, 0, 25));
    const SphereZone zone = minimum_zone_sphere(p, {at, 25});
    const double noise = at.norm() > 0 ? 1e-11 : 1e-13;
    EXPECT_LE(zone.width(), std::max(below, above) + noise);
    EXPECT_GE(zone.width(), std::min(below, above) - noise);
    EXPECT_LT(zone.width(), 0.03 - 1e-9);
    EXPECT_TRUE(zone.exact);
  }
}

// Cap: the zone can only be a local one, but it must be one and hold all points.
TEST(MinimumZoneSphere, Cap) {
  Random g(3);
  for (double half : {45.0, 60.0, 90.0}) {
    const Points p = samples::cap(g, 50'000, {{0, 0, 615}, 15}, -Vec3::UnitZ(), half, 0.02);
    const SphereFit start = fit_sphere(p);
    const SphereZone zone = minimum_zone_sphere(p, start.sphere);
    EXPECT_TRUE(zone.exact) << half;
    EXPECT_LT(zone.width(), start.residuals.range());
    EXPECT_NEAR(width_about(p, zone.center), zone.width(), 1e-12);
    for (int i = 0; i < 20; ++i) {
      const double away = std::pow(10, samples::uniform(g, -5, -3));
      EXPECT_GE(width_about(p, zone.center + away * samples::direction(g)), zone.width() - 1e-12);
    }
  }
}

TEST(MinimumZoneSphere, FewOrBadPoints) {
  EXPECT_FALSE(minimum_zone_sphere(Points{}, {{0, 0, 0}, 1}).exact);
  EXPECT_FALSE(minimum_zone_sphere(samples::of({{1e200, 0, 0}, {0, 0, 0}}), {{0, 0, 0}, 1}).exact);
  EXPECT_FALSE(minimum_zone_sphere(samples::of({{std::nan(""), 0, 0}}), {{0, 0, 0}, 1}).exact);
  // Four points in space lie on one sphere.
  const SphereZone four = minimum_zone_sphere(
      samples::of({{1, 0, 0}, {-1, 0.1, 0}, {0, 1, 0.1}, {0.1, 0, 1}}), {{0, 0, 0}, 1});
  EXPECT_LT(four.width(), 1e-12);
}

TEST(MinimumZoneSphereProperty, FollowsRigidMotionScaleAndOrder) {
  Random g(4);
  for (int k = 0; k < 15; ++k) {
    const std::size_t n = 50 + g() % 3000;
    const Points p = samples::cap(g, n, {{0, 0, 615}, 15}, -Vec3::UnitZ(), 80, 0.02);
    const Sphere start = fit_sphere(p).sphere;
    const double width = minimum_zone_sphere(p, start).width();
    const RigidTransform t = samples::motion(g, 500);
    const Points moved = samples::moved(p, t);
    EXPECT_NEAR(minimum_zone_sphere(moved, {t * start.center, 15}).width(), width, 2e-12);
    EXPECT_NEAR(minimum_zone_sphere(samples::scaled(p, 3), {3 * start.center, 45}).width() / 3,
                width,
                2e-12);
    EXPECT_NEAR(minimum_zone_sphere(samples::shuffled(p, g), start).width(), width, 1e-12);
  }
}

// A line of Chebyshev approximation: the best constant for {0, 1, 5} is 2.5, off by 2.5.
TEST(Minimax, BestConstant) {
  Linearised r;
  for (double d : {0.0, 1.0, 5.0}) {
    r.d.push_back(d);
    r.n.push_back(Vec3::Zero());
  }
  const Minimax best = minimax_step(r, 1);
  ASSERT_TRUE(best.solved);
  EXPECT_DOUBLE_EQ(best.radius, 2.5);
  EXPECT_DOUBLE_EQ(best.height, 2.5);
  EXPECT_EQ(best.reach_multiplier, 0);
}

TEST(Minimax, OptimalByItsDual) {
  Random g(5);
  for (int k = 0; k < 50; ++k) {
    Linearised r;
    const int n = 5 + static_cast<int>(g() % 200);
    for (int i = 0; i < n; ++i) {
      r.d.push_back(samples::normal(g));
      r.n.push_back(samples::direction(g));
    }
    const Minimax best = minimax_step(r, 0.5);
    ASSERT_TRUE(best.solved);
    EXPECT_LE(best.move.cwiseAbs().maxCoeff(), 0.5 + 1e-12);
    double largest = 0;
    for (int i = 0; i < n; ++i)
      largest = std::max(largest, std::abs(r.d[i] - r.n[i].dot(best.move) - best.radius));
    EXPECT_NEAR(largest, best.height, 1e-12);
    // Weak duality: Σ ±λd − reach·Σ(bound multipliers) bounds the height from below.
    double dual = -0.5 * best.reach_multiplier, sum = 0;
    Vec3 balance = Vec3::Zero();
    for (const auto& c : best.contacts) {
      EXPECT_GE(c.multiplier, -1e-12);
      dual += (c.above ? 1 : -1) * c.multiplier * r.d[c.index];
      sum += c.multiplier;
      balance += (c.above ? 1 : -1) * c.multiplier * r.n[c.index];
    }
    EXPECT_NEAR(sum, 1, 1e-12);
    EXPECT_NEAR(balance.lpNorm<1>(), best.reach_multiplier, 1e-12);
    EXPECT_NEAR(dual, best.height, 1e-12);
  }
}

}  // namespace
}  // namespace rigproof
