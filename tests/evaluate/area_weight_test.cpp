#include "evaluate/area_weight.h"

#include <gtest/gtest.h>

#include "evaluate/made_points.h"

namespace rigproof {
namespace {

// One half of a surface that is out of shape scanned four times as densely: the plain fit follows
// the dense half, the fit by area that of even points. Nine tenths of the difference must go; cells
// at the rim, which are only partly covered, leave the rest.
TEST(AreaWeight, DoesNotFollowTheDensity) {
  const Sphere ball{{0, 0, 500}, 15};
  const auto shape = [&](const Vec3& d) { return 0.02 * d.x() * d.x() * d.x(); };
  const auto scanned = [&](double pitch, bool left, bool right) {
    const Points exact = made::cap(ball, -Vec3::UnitZ(), 75, pitch);
    Points p;
    p.origin = exact.origin;
    for (std::size_t i = 0; i < exact.size(); ++i) {
      const Vec3 d = (exact.at(i) - ball.center).normalized();
      if (d.x() < 0 ? left : right) p.push(ball.center + d * (15 + shape(d)));
    }
    return p;
  };
  Points uneven = scanned(0.1, true, false);
  made::append(uneven, scanned(0.2, false, true));
  const auto feature = [&](const Points& p) {
    return made::ball(p, made::sighting(ball, -Vec3::UnitZ()), 30, {});
  };
  const BallFeature even = feature(scanned(0.1, true, true)), f = feature(uneven);
  const Sphere target = area_weighted_sphere(even), got = area_weighted_sphere(f);
  const double off = (f.fit_all.sphere.center - target.center).norm();
  EXPECT_GT(off, 0.0005);
  EXPECT_LT((got.center - target.center).norm(), 0.1 * off);
  EXPECT_NEAR(got.radius, target.radius, 0.1 * off);
}

// Points that crowd in places have a small spacing for the zone that they span: cells stay
// countable.
TEST(AreaWeight, ASmallSpacingDoesNotMakeCountlessCells) {
  const Sphere ball{{0, 0, 500}, 15};
  BallFeature f = made::ball(
      made::cap(ball, -Vec3::UnitZ(), 75, 0.5), made::sighting(ball, -Vec3::UnitZ()), 30, {});
  f.spacing_mm = 1e-6;
  EXPECT_NEAR((area_weighted_sphere(f).center - ball.center).norm(), 0, 1e-9);
}

TEST(AreaWeight, OfAPlate) {
  const Vec3 u = Vec3::UnitX(), v = Vec3::UnitY(), at(0, 0, 600);
  const auto bow = [](double x, double) { return 0.02 * x * x * x / 3.4e6; };
  const Points even = made::plate(at, u, v, 300, 200, 1, bow);
  Points uneven;
  uneven.origin = even.origin;
  int k = 0;
  for (std::size_t i = 0; i < even.size(); ++i)
    if (even.at(i).x() < 0 || ++k % 4 == 0) uneven.push(even.at(i));
  ZoneContext zone;
  zone.plates = {{300, 200, 3}};
  const auto tilt = [&](const Points& p, bool weighted) {
    const PlateFeature f = made::plate_feature(p, made::plate_sighting(at, u, v, 300, 200), zone);
    const Vec3 n = weighted ? area_weighted_plane(f).normal : f.fit_all.plane.normal;
    return n.x() / n.z();
  };
  const double target = tilt(even, false);
  const double off = std::abs(tilt(uneven, false) - target);
  EXPECT_GT(off, 0.02 * std::abs(target));
  EXPECT_NEAR(tilt(even, true), target, 0.1 * off);
  EXPECT_NEAR(tilt(uneven, true), target, 0.1 * off);
}

}  // namespace
}  // namespace rigproof
