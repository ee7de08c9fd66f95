#include "fit/residuals.h"

#include <algorithm>

#include <gtest/gtest.h>

#include "samples.h"

namespace rigproof {
namespace {

using samples::Random;

TEST(Residuals, SphereAndPlaneInFileOrder) {
  Random g(1);
  const Sphere ball{{12, -34, 600}, 15};
  const Plane plate{{10, -20, 600}, Vec3(0.1, -0.2, -1).normalized()};
  for (std::size_t n : {1ul, 511ul, 513ul, 20'000ul}) {
    const Points p = samples::cap(g, n, ball, -Vec3::UnitZ(), 60, 0.5);
    const auto s = sphere_residuals(p, ball), f = plane_residuals(p, plate);
    ASSERT_EQ(s.size(), n);
    ASSERT_EQ(f.size(), n);
    for (std::size_t i = 0; i < n; ++i) {
      EXPECT_NEAR(s[i], ball.deviation(p.at(i)), 1e-12);
      EXPECT_NEAR(f[i], plate.deviation(p.at(i)), 1e-12);
    }
  }
}

TEST(Residuals, StatisticsAreThoseOfTheStoredResiduals) {
  Random g(2);
  const Sphere ball{{12, -34, 600}, 15};
  for (std::size_t n : {1ul, 9ul, 511ul, 513ul, 16'385ul, 200'000ul}) {
    const Points p = samples::cap(g, n, ball, -Vec3::UnitZ(), 60, 0.5);
    const auto d = sphere_residuals(p, ball, 2);
    const ResidualStats a = sphere_residual_stats(p, ball, 2), b = residual_stats(d);
    EXPECT_EQ(a.n, n);
    EXPECT_EQ(a.rms, b.rms);
    EXPECT_EQ(a.min, *std::ranges::min_element(d));
    EXPECT_EQ(a.max, *std::ranges::max_element(d));
    double square = 0;
    for (double v : d) square += v * v;
    EXPECT_NEAR(a.rms, std::sqrt(square / static_cast<double>(n)), 1e-12);
  }
  EXPECT_EQ(residual_stats({}).n, 0u);
  EXPECT_EQ(residual_stats({}).range(), 0);
}

TEST(Allowance, IsTheFloorOfTheExactProduct) {
  for (std::size_t n = 0; n < 200'000; ++n) {
    ASSERT_EQ(allowance(0.003, n), 3 * n / 1000) << n;
    ASSERT_EQ(allowance(0.05, n), n / 20) << n;
  }
  EXPECT_EQ(allowance(0.003, 1'999'999'999), 5'999'999u);
  EXPECT_EQ(allowance(0, 1000), 0u);
  EXPECT_EQ(allowance(-1, 1000), 0u);
  EXPECT_EQ(allowance(2, 1000), 1000u);
  EXPECT_EQ(allowance(std::nan(""), 1000), 0u);
}

TEST(LargestResiduals, TakesTheLowerIndexOfATie) {
  const std::vector<double> d = {0.1, -0.5, 0.5, 0.5, -0.2, 0.9};
  EXPECT_EQ(largest_residuals(d, 0), (std::vector<std::size_t>{}));
  EXPECT_EQ(largest_residuals(d, 1), (std::vector<std::size_t>{5}));
  EXPECT_EQ(largest_residuals(d, 2), (std::vector<std::size_t>{1, 5}));
  EXPECT_EQ(largest_residuals(d, 3), (std::vector<std::size_t>{1, 2, 5}));
  EXPECT_EQ(largest_residuals(d, 9).size(), 6u);
}

TEST(LargestResiduals, IsTheFullSort) {
  Random g(3);
  std::vector<double> d;
  for (int i = 0; i < 5000; ++i) d.push_back(std::round(100 * samples::normal(g)));  // many ties
  std::vector<std::size_t> order(d.size());
  for (std::size_t i = 0; i < d.size(); ++i) order[i] = i;
  std::ranges::stable_sort(order, {}, [&](std::size_t i) { return -std::abs(d[i]); });
  for (std::size_t count : {1ul, 15ul, 150ul, 4999ul}) {
    std::vector<std::size_t> expected(order.begin(), order.begin() + static_cast<long>(count));
    std::ranges::sort(expected);
    EXPECT_EQ(largest_residuals(d, count), expected);
  }
}

}  // namespace
}  // namespace rigproof
