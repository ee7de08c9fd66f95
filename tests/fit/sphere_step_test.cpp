#include "fit/sphere_step.h"

#include <gtest/gtest.h>

#include "fit/moments.h"
#include "samples.h"

namespace rigproof {
namespace {

using samples::Random;

void expect_near(const SphereSums& a, const SphereSums& b, double relative) {
  const double scale = relative * a.weight;
  EXPECT_NEAR(a.weight, b.weight, scale);
  EXPECT_NEAR((a.normal() - b.normal()).norm(), 0, scale);
  EXPECT_NEAR((a.gradient() - b.gradient()).norm(), 0, scale * 20);
  EXPECT_NEAR(a.dd, b.dd, scale * 400);
}

// Every length around the lanes, the cache chunks and the blocks.
TEST(SphereSums, AgreeWithThePlainLoop) {
  Random g(1);
  for (std::size_t n :
       {1ul, 7ul, 8ul, 9ul, 255ul, 256ul, 257ul, 263ul, 16384ul, 16385ul, 40000ul}) {
    const Points p = samples::cap(g, n, {{1, 2, 600}, 15}, -Vec3::UnitZ(), 60, 0.1);
    std::vector<double> w;
    for (std::size_t i = 0; i < n; ++i) w.push_back(samples::uniform(g, 0, 2));
    const Vec3 c(0.1, -0.2, 0.3);
    expect_near(sphere_sums(p, c, 14.9), sphere_sums_serial(p, c, 14.9), 1e-13);
    expect_near(sphere_sums(p, c, 14.9, w), sphere_sums_serial(p, c, 14.9, w), 1e-13);
  }
}

TEST(SphereSums, WeightOneIsNoWeight) {
  Random g(2);
  const Points p = samples::cap(g, 1000, {{1, 2, 600}, 15}, -Vec3::UnitZ(), 60, 0.1);
  const std::vector<double> ones(p.size(), 1.0);
  const SphereSums a = sphere_sums(p, Vec3::Zero(), 15), b = sphere_sums(p, Vec3::Zero(), 15, ones);
  EXPECT_EQ(a.normal(), b.normal());
  EXPECT_EQ(a.gradient(), b.gradient());
  EXPECT_EQ(a.dd, b.dd);
}

TEST(SphereSums, ThreadsNeverChangeABit) {
  Random g(3);
  const Points p = samples::cap(g, 300'000, {{1, 2, 600}, 15}, -Vec3::UnitZ(), 60, 0.1);
  const SphereSums a = sphere_sums(p, Vec3::Zero(), 15, {}, 1);
  for (int threads : {2, 5}) {
    const SphereSums b = sphere_sums(p, Vec3::Zero(), 15, {}, threads);
    EXPECT_EQ(a.normal(), b.normal());
    EXPECT_EQ(a.gradient(), b.gradient());
    EXPECT_EQ(a.dd, b.dd);
  }
}

TEST(SphereSums, PointAtTheCentreHasNoDirection) {
  Points p;
  p.push_local(1, 2, 3);
  const SphereSums s = sphere_sums(p, {1, 2, 3}, 5);
  EXPECT_EQ(s.n, Vec3(0, 0, 0));
  EXPECT_EQ(s.d, -5);
}

// A point of weight two is the same as the point given twice.
TEST(SphereStep, WeightsCountLikeRepeats) {
  Random g(4);
  const Points p = samples::cap(g, 50, {{1, 2, 600}, 15}, -Vec3::UnitZ(), 60, 0.1);
  std::vector<double> w(p.size(), 1.0);
  w[7] = 2;
  w[11] = 0;
  Points q;
  q.origin = p.origin;
  for (std::size_t i = 0; i < p.size(); ++i)
    for (int k = 0; k < static_cast<int>(w[i]); ++k) q.push_local(p.x[i], p.y[i], p.z[i]);
  const auto a = sphere_step(sphere_sums(p, {0.1, 0, 0}, 15, w), false);
  const auto b = sphere_step(sphere_sums(q, {0.1, 0, 0}, 15), false);
  ASSERT_TRUE(a && b);
  EXPECT_NEAR((*a - *b).norm(), 0, 1e-12);
}

TEST(SphereStep, SingularIsSaid) {
  Points p;
  for (int i = 0; i < 5; ++i) p.push_local(i, 2 * i, 3 * i);
  EXPECT_FALSE(sphere_step(sphere_sums(p, {-1, -2, -3}, 5), false));
  EXPECT_FALSE(sphere_step(sphere_sums(p, {-1, -2, -3}, 5), true));
}

TEST(Moments, AgreeWithThePlainLoopWhateverTheLength) {
  Random g(5);
  for (std::size_t n : {1ul, 7ul, 8ul, 9ul, 1025ul, 16384ul, 16391ul, 50000ul}) {
    Points p = samples::cap(g, n, {{1, 2, 600}, 15}, -Vec3::UnitZ(), 60, 0.1);
    for (std::size_t i = 0; i < n; ++i) p.x[i] += 1e5;  // far from the local origin
    const Moments a = moments(p), b = moments_serial(p);
    const double size = static_cast<double>(n);
    EXPECT_NEAR((a.centroid - b.centroid).norm(), 0, 1e-9);
    EXPECT_NEAR((a.scatter - b.scatter).norm(), 0, 1e-9 * size);
    EXPECT_NEAR((a.third - b.third).norm(), 0, 1e-7 * size);
    double square = 0;
    for (std::size_t i = 0; i < n; ++i) square += (p.local(i) - b.centroid).squaredNorm() / size;
    EXPECT_NEAR(a.spread(), std::sqrt(square), 1e-9);
  }
}

}  // namespace
}  // namespace rigproof
