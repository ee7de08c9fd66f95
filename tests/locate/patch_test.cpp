#include "locate/patch.h"

#include <cmath>

#include <gtest/gtest.h>

#include "fit/decompose.h"
#include "locate/virtual_table.h"

namespace rigproof {
namespace {

using testing_scenes::Random;

/// Points spread evenly over a sphere, with noise along its radii.
Points on_sphere(double radius, double noise, std::size_t n, std::uint64_t seed) {
  Random random(seed);
  Points points;
  for (std::size_t i = 0; i < n; ++i) {
    const Vec3 p = (radius + noise * random.normal()) * random.direction();
    points.push_local(p.x(), p.y(), p.z());
  }
  return points;
}

// Closed form: every patch of an exact sphere bends as the sphere does, 1/(2 c_z) with c_z the
// distance of the centre from the patch's mean along its normal.
TEST(Patch, OfAnExactSphereFindsItsCentre) {
  const Points points = on_sphere(20, 0, 40000, 1);
  int patches = 0;
  for (const Patch& p : make_patches(CellGrid(points, 5, {1, 2, 3}, 2), 2)) {
    if (!p.valid() || p.n < 50) continue;
    ++patches;
    EXPECT_NEAR(-p.mean.dot(p.normal), 1 / (2 * p.bend), 1e-6);
    EXPECT_LT(p.noise, 1e-4);
  }
  EXPECT_GT(patches, 100);
}

// The normal is the axis of least variance of the points of the 27 cells, by another solver.
TEST(Patch, NormalIsThatOfTheLeastPrincipalAxis) {
  const CellGrid grid(on_sphere(20, 0.2, 40000, 6), 4, {0.3, 0, -1}, 1);
  const Points points = on_sphere(20, 0.2, 40000, 6);
  const std::vector<Patch> patches = make_patches(grid, 2);
  int compared = 0;
  for (std::size_t c = 0; c < grid.size(); ++c) {
    if (!patches[c].valid()) continue;
    std::vector<Vec3> members;
    grid.for_neighbours(c, [&](std::size_t o, int, int, int) {
      for (std::uint32_t k = grid.item_begin(o); k < grid.item_begin(o + 1); ++k)
        members.push_back(points.local(grid.items()[k]));
    });
    Vec3 mean = Vec3::Zero();
    for (const Vec3& p : members) mean += p / static_cast<double>(members.size());
    Mat3 square = Mat3::Zero();
    for (const Vec3& p : members)
      square += (p - mean) * (p - mean).transpose() / static_cast<double>(members.size());
    const PrincipalAxes axes = principal_axes(square);
    EXPECT_NEAR((patches[c].mean - mean).norm(), 0, 1e-11);
    EXPECT_NEAR(std::abs(patches[c].normal.dot(axes.axes.col(0))), 1, 1e-12);
    EXPECT_NEAR(patches[c].spread, axes.values[1] + axes.values[2], 1e-10);
    ++compared;
  }
  EXPECT_GT(compared, 100);
}

TEST(Patch, BendAndNoiseSurviveNoise) {
  const double radius = 20, noise = 0.4;  // as large as the sagitta's own variation in a patch
  double curvature = 0, sd = 0, n = 0;
  for (std::uint64_t seed = 0; seed < 4; ++seed)
    for (const Patch& p :
         make_patches(CellGrid(on_sphere(radius, noise, 40000, seed), 4, Vec3::Zero(), 2), 2)) {
      if (!p.valid() || p.n < 300) continue;
      // The centre lies 1/(2 bend) from the mean, which is inside the sphere by the mean sagitta.
      const double expected = 1 / (radius - 0.5 * p.spread / radius);
      curvature += p.curvature() * (p.normal.dot(-p.mean) > 0 ? 1 : -1) / expected;
      sd += p.noise;
      n += 1;
    }
  ASSERT_GT(n, 500);
  // An algebraic fit attenuates by var(z)/(var(z) + noise²), here to about a half.
  EXPECT_NEAR(curvature / n, 1, 0.06);
  EXPECT_NEAR(sd / n, noise, 0.03 * noise);
}

TEST(Patch, OfAPlaneIsFlatAndSaysHowFlat) {
  Random random(3);
  Points points;
  for (int i = 0; i < 30000; ++i)
    points.push_local(random.uniform(-30, 30), random.uniform(-30, 30), 0.1 * random.normal());
  double squares = 0, n = 0;
  for (const Patch& p : make_patches(CellGrid(points, 2, {0, 0, 0.7}, 2), 2)) {
    if (!p.valid() || p.n < 30) continue;
    n += 1;
    squares += p.bend * p.bend / (p.u_bend * p.u_bend);
    EXPECT_GT(std::abs(p.normal.z()), 0.95);
  }
  ASSERT_GT(n, 500);
  EXPECT_NEAR(std::sqrt(squares / n), 1, 0.15);  // u_bend says how well the bend is known
}

TEST(Patch, RefusesLinesAndClouds) {
  Random random(4);
  Points line, cloud;
  for (int i = 0; i < 2000; ++i) {
    line.push_local(random.uniform(-9, 9), 0.001 * random.normal(), 0.001 * random.normal());
    cloud.push_local(random.uniform(-9, 9), random.uniform(-9, 9), random.uniform(-9, 9));
  }
  for (const Patch& p : make_patches(CellGrid(line, 2, Vec3::Zero(), 1), 1))
    EXPECT_FALSE(p.valid());
  double valid = 0, n = 0;
  for (const Patch& p : make_patches(CellGrid(cloud, 2, Vec3::Zero(), 1), 1)) {
    n += 1;
    valid += p.valid();
  }
  EXPECT_LT(valid / n, 0.5);
}

}  // namespace
}  // namespace rigproof
