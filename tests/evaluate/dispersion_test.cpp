#include "evaluate/dispersion.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "evaluate/enclosure.h"
#include "evaluate/random.h"
#include "fit/fit.h"
#include "made_points.h"

namespace rigproof {
namespace {

// Few points with much scatter: the minimum zone lies well away from the least squares.
Points few(std::uint64_t seed, double pitch) {
  return made::cap({{3, -2, 600}, 15}, -Vec3::UnitZ(), 60, pitch, made::noise(0.05, seed));
}

double width_about(const Points& p, const Vec3& center, double share) {
  std::vector<double> rho;
  for (std::size_t i = 0; i < p.size(); ++i) rho.push_back((p.at(i) - center).norm());
  return shortest_interval(rho, share);
}

TEST(FreeShell, OfAllPointsIsTheMinimumZone) {
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    const Points p = few(seed, 6);
    const Sphere fit = fit_sphere(p).sphere;
    const SphereZone zone = minimum_zone_sphere(p, fit);
    const Enclosure shell = free_shell(p, fit, 1);
    EXPECT_NEAR(shell.width, zone.outer - zone.inner, 1e-9) << seed;
    EXPECT_LT((shell.center - zone.center).norm(), 1e-6) << seed;
    EXPECT_EQ(shell.held, p.size());
    // Five contacts hold a minimum zone; every one of them is named.
    EXPECT_EQ(shell.low_points.size(), zone.inner_points.size()) << seed;
    EXPECT_EQ(shell.high_points.size(), zone.outer_points.size()) << seed;
  }
}

TEST(FreeShell, IsNeverWiderThanTheConcentricOneAndWhatItSays) {
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    const Points p = few(seed, 3);
    const Sphere fit = fit_sphere(p).sphere;
    const Enclosure fixed = concentric_shell(p, fit, 0.95), free = free_shell(p, fit, 0.95);
    EXPECT_NEAR(fixed.width, width_about(p, fit.center, 0.95), 1e-12) << seed;
    EXPECT_NEAR(free.width, width_about(p, free.center, 0.95), 1e-12) << seed;
    EXPECT_LT(free.width, fixed.width) << seed;
    EXPECT_NEAR(free.high - free.low, free.width, 1e-12);
    const auto held = static_cast<std::size_t>(std::ceil(0.95 * static_cast<double>(p.size())));
    EXPECT_EQ(free.held, held);
    Points inside;
    inside.origin = p.origin;
    std::size_t below = 0;
    for (std::size_t i = 0; i < p.size(); ++i) {
      const double rho = (p.at(i) - free.center).norm();
      below += rho < free.low - 1e-9;
      if (rho >= free.low - 1e-9 && rho <= free.high + 1e-9)
        inside.push_local(p.x[i], p.y[i], p.z[i]);
    }
    EXPECT_EQ(inside.size(), held) << seed;
    EXPECT_EQ(below, free.below) << seed;
    // A local minimum: the minimum zone of the points in it leads to no narrower one.
    const SphereZone zone = minimum_zone_sphere(inside, {free.center, 15});
    EXPECT_GE(width_about(p, zone.center, 0.95), free.width * (1 - 1e-8)) << seed;
  }
}

TEST(MinimumZoneOf, APlateLiesBetweenItsTwoPlanes) {
  const Points p = made::plate(
      {3, 4, 600}, Vec3::UnitX(), Vec3(0, 0.8, 0.6), 300, 200, 10, [](double x, double y) {
        return 0.02 * x * y / 15000;
      });
  const Enclosure e = minimum_zone_of(p, 3);
  EXPECT_FALSE(e.sphere);
  EXPECT_GT(e.width, 0.01);
  EXPECT_NEAR(e.high, e.width / 2, 1e-12);
  EXPECT_NEAR(e.low, -e.width / 2, 1e-12);
  EXPECT_EQ(e.held, p.size());
  EXPECT_EQ(e.points, p.size() + 3);
  double least = 0, most = 0;
  for (std::size_t i = 0; i < p.size(); ++i) {
    const double height = (p.at(i) - e.center).dot(e.normal);
    least = std::min(least, height);
    most = std::max(most, height);
  }
  EXPECT_NEAR(least, e.low, 1e-9);
  EXPECT_NEAR(most, e.high, 1e-9);
  EXPECT_GE(e.low_points.size() + e.high_points.size(), 4u);
  for (const Vec3& low : e.low_points) EXPECT_NEAR((low - e.center).dot(e.normal), e.low, 1e-9);
  for (const Vec3& high : e.high_points) EXPECT_NEAR((high - e.center).dot(e.normal), e.high, 1e-9);
}

TEST(ParallelPlanes, HoldTheShareAcrossTheFit) {
  Points p;
  for (int i = 0; i < 20; ++i) p.push_local(i, i % 3, i == 0 ? -4 : 0.1 * i);
  const Plane fit{Vec3(0, 0, 0), Vec3::UnitZ()};
  const Enclosure e = parallel_planes(p, fit, 0.95);
  EXPECT_FALSE(e.sphere);
  EXPECT_NEAR(e.width, 1.8, 1e-12);
  EXPECT_NEAR(e.low, 0.1, 1e-12);
  EXPECT_NEAR(e.high, 1.9, 1e-12);
  EXPECT_EQ(e.below, 1u);
  EXPECT_EQ(e.held, 19u);
  ASSERT_EQ(e.low_points.size(), 1u);
  EXPECT_EQ(e.low_points[0], p.at(1));
  EXPECT_EQ(e.high_points[0], p.at(19));
}

}  // namespace
}  // namespace rigproof
