#include <algorithm>

#include <gtest/gtest.h>

#include "contact_widths.h"
#include "fit/fit.h"
#include "samples.h"

namespace rigproof {
namespace {

using samples::Random;

double width_along(const Points& p, const Vec3& normal) {
  double low = 1e300, high = -1e300;
  for (std::size_t i = 0; i < p.size(); ++i) {
    const double t = normal.dot(p.local(i));
    low = std::min(low, t);
    high = std::max(high, t);
  }
  return high - low;
}

// Every direction across three points and across two pairs: no hull, no pruning. The width is the
// least of them, because it touches a face and a vertex or two edges.
double width_by_exhaustion(const Points& p) {
  std::vector<Vec3> along;
  for (std::size_t i = 0; i < p.size(); ++i)
    for (std::size_t j = i + 1; j < p.size(); ++j) along.push_back(p.local(j) - p.local(i));
  double best = 1e300;
  for (std::size_t a = 0; a < along.size(); ++a)
    for (std::size_t b = a + 1; b < along.size(); ++b) {
      const Vec3 n = along[a].cross(along[b]);
      if (n.norm() > 1e-9 * along[a].norm() * along[b].norm())
        best = std::min(best, width_along(p, n.normalized()));
    }
  return best;
}

void expect_zone(const Points& p, const PlaneZone& zone) {
  double low = 0, high = 0;
  for (std::size_t i = 0; i < p.size(); ++i) {
    low = std::min(low, zone.plane.deviation(p.at(i)));
    high = std::max(high, zone.plane.deviation(p.at(i)));
  }
  EXPECT_NEAR(high, zone.width / 2, 1e-9);
  EXPECT_NEAR(low, -zone.width / 2, 1e-9);
}

TEST(MinimumZonePlane, IsTheExhaustiveSearch) {
  Random g(1);
  for (int k = 0; k < 60; ++k) {
    const double width = samples::uniform(g, 0.2, 1);
    const Vec3 size(1, width, std::pow(10, samples::uniform(g, -5, 0)));
    const int n = 4 + static_cast<int>(g() % 10);
    Points p;
    for (int i = 0; i < n; ++i) p.push(size.cwiseProduct(samples::normal3(g)));
    p = samples::moved(p, samples::motion(g, 10));
    const PlaneZone zone = minimum_zone_plane(p);
    EXPECT_TRUE(zone.exact);
    EXPECT_NEAR(zone.width, width_by_exhaustion(p), 1e-13) << n << " points, " << size.transpose();
    EXPECT_NEAR(contacts::width_of_planes(zone.low, zone.high), zone.width, 1e-12) << k;
    expect_zone(p, zone);
  }
}

// Points on a coarse lattice: coplanar, collinear and repeated points everywhere.
TEST(MinimumZonePlane, IsTheExhaustiveSearchOnGriddedPoints) {
  Random g(2);
  for (int k = 0; k < 60; ++k) {
    const int n = 5 + static_cast<int>(g() % 10);
    Points p;
    for (int i = 0; i < n; ++i) {
      const auto code = static_cast<int>(g() % 48);
      p.push(Vec3(code % 4, code / 4 % 4, 0.01 * (code / 16)));
    }
    const PlaneZone zone = minimum_zone_plane(p);
    const double reference = width_by_exhaustion(p);
    if (reference == 1e300) continue;  // all on one line
    EXPECT_TRUE(zone.exact);
    EXPECT_NEAR(zone.width, reference, 1e-13) << k;
  }
}

TEST(MinimumZonePlane, PointsInOnePlaneOrLine) {
  Random g(3);
  const PlaneZone flat = minimum_zone_plane(
      samples::plate(g, 1000, {{3, 4, 600}, Vec3(1, 2, -3).normalized()}, 300, 200, 0));
  EXPECT_TRUE(flat.exact);
  EXPECT_LT(flat.width, 1e-12);
  EXPECT_NEAR(std::abs(flat.plane.normal.dot(Vec3(1, 2, -3).normalized())), 1, 1e-15);

  const std::vector<std::vector<Vec3>> lines = {{{1, 2, 3}},
                                                {{1, 2, 3}, {4, 4, 4}},
                                                {{0, 0, 0}, {1, 1, 1}, {5, 5, 5}},
                                                {{0, 0, 0}, {0.1, 0, 0.2}},
                                                {{1, 2, 3}, {1, 2, 3}, {1, 2, 3}},
                                                {{0, 0, 0}, {1, 0, 0}, {0, 1, 0}}};
  for (const auto& list : lines) {
    const PlaneZone zone = minimum_zone_plane(samples::of(list));
    EXPECT_TRUE(zone.exact);
    EXPECT_LT(zone.width, 1e-15) << list.size();
    EXPECT_EQ(zone.rounds, 0);  // nothing was searched
    EXPECT_NEAR(zone.plane.normal.norm(), 1, 1e-15);
  }
  EXPECT_FALSE(minimum_zone_plane(Points{}).exact);
  EXPECT_FALSE(minimum_zone_plane(samples::of({{0, 0, 0}, {1, 0, std::nan("")}, {0, 1, 0}})).exact);
}

// Grown from a few extreme points or from all at once, the answer is the same.
TEST(MinimumZonePlane, LargeSetsAgreeWithTheirExtremePoints) {
  Random g(4);
  for (int k = 0; k < 6; ++k) {
    const Plane plane{{10, -20, 600}, samples::direction(g)};
    const Points p = samples::plate(g, 20'000, plane, 300, 200, 0.02);
    const PlaneZone zone = minimum_zone_plane(p);
    EXPECT_TRUE(zone.exact);
    expect_zone(p, zone);
    // Width of the 400 points farthest from the least-squares plane: a lower bound.
    const auto far = largest_residuals(plane_residuals(p, fit_plane(p).plane), 400);
    Points some;
    some.origin = p.origin;
    for (std::size_t i : far) some.push_local(p.x[i], p.y[i], p.z[i]);
    const PlaneZone lower = minimum_zone_plane(some);
    EXPECT_LE(lower.width, zone.width + 1e-12);
    EXPECT_LE(zone.width, fit_plane(p).residuals.range());
    // No direction near by is narrower.
    for (int i = 0; i < 50; ++i) {
      const Vec3 n = (zone.plane.normal + 1e-5 * samples::direction(g)).normalized();
      EXPECT_GE(width_along(p, n), zone.width - 1e-12);
    }
  }
}

// Scans of ramps and bows rounded to the micrometre: thousands of hull points, ties everywhere.
TEST(MinimumZonePlane, RoundedGridWithABow) {
  Points p;
  p.origin = Vec3(0, 0, 600);
  for (int i = -60; i <= 60; ++i)
    for (int j = -40; j <= 40; ++j) {
      const double x = 2.5 * i, y = 2.5 * j, bow = 0.05 * (1 - (x * x + y * y) / (150 * 150));
      p.push_local(x, y, std::round(1000 * bow) / 1000);
    }
  const PlaneZone zone = minimum_zone_plane(p);
  EXPECT_TRUE(zone.exact);
  expect_zone(p, zone);
  // A bow symmetric in x and y: the zone is level, from the rounded corner to the rounded top.
  const double corner = std::round(1000 * 0.05 * (1 - (150.0 * 150 + 100 * 100) / 22500)) / 1000;
  EXPECT_NEAR(zone.width, 0.05 - corner, 1e-12);
}

TEST(MinimumZonePlaneProperty, FollowsRigidMotionScaleAndOrder) {
  Random g(5);
  for (int k = 0; k < 15; ++k) {
    const std::size_t n = 20 + g() % 3000;
    const Plane plane{{0, 0, 600}, samples::direction(g)};
    const Points p = samples::plate(g, n, plane, 300, 200, 0.02);
    const double width = minimum_zone_plane(p).width;
    EXPECT_NEAR(minimum_zone_plane(samples::moved(p, samples::motion(g, 500))).width, width, 2e-12);
    EXPECT_NEAR(minimum_zone_plane(samples::scaled(p, 3)).width / 3, width, 1e-12);
    EXPECT_NEAR(minimum_zone_plane(samples::shuffled(p, g)).width, width, 1e-12);
  }
}

}  // namespace
}  // namespace rigproof
