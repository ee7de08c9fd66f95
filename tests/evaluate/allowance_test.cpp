#include "evaluate/allowance.h"

#include <gtest/gtest.h>

#include "evaluate/random.h"
#include "fit/fit.h"

namespace rigproof {
namespace {

TEST(SelectLargest, IsTheFullSortWhateverTheTies) {
  Random random(7, 0);
  for (const std::size_t n : {1u, 10u, 5000u, 60000u, 100003u}) {
    std::vector<double> continuous(n), stepped(n);
    for (std::size_t i = 0; i < n; ++i) {
      continuous[i] = random.normal();
      stepped[i] = std::round(4 * random.normal()) / 4;  // many ties, of both signs
    }
    for (const double share : {0.0001, 0.003, 0.05, 0.9}) {
      const std::size_t count = allowance(share, n);
      EXPECT_EQ(select_largest(continuous, count), largest_residuals(continuous, count));
      EXPECT_EQ(select_largest(stepped, count), largest_residuals(stepped, count));
    }
  }
}

TEST(SelectLargest, TiesGoByIndex) {
  const std::vector<double> d{0.1, -0.5, 0.5, 0.2, -0.5};
  EXPECT_EQ(select_largest(d, 1), (std::vector<std::size_t>{1}));
  EXPECT_EQ(select_largest(d, 2), (std::vector<std::size_t>{1, 2}));
}

TEST(Allowance, IsTheFloor) {
  EXPECT_EQ(allowance(0.003, 1000), 3u);
  EXPECT_EQ(allowance(0.003, 999), 2u);
  EXPECT_EQ(allowance(0.003, 333), 0u);
  EXPECT_EQ(allowance(0, 1000000), 0u);
}

TEST(KeptRange, IsTheRangeOfWhatTheAllowanceLeaves) {
  EXPECT_DOUBLE_EQ(kept_range({0.1, -0.5, 0.5, 0.2, -0.4}, 0), 1.0);
  EXPECT_DOUBLE_EQ(kept_range({0.1, -0.5, 0.5, 0.2, -0.4}, 0.2), 0.9);  // ties by index
  EXPECT_DOUBLE_EQ(kept_range({0.1, -0.5, 0.5, 0.2, -0.4}, 0.4), 0.6);
  EXPECT_DOUBLE_EQ(kept_range({}, 0.1), 0);
  EXPECT_DOUBLE_EQ(kept_range({3}, 1), 0);
}

TEST(LeftOut, TakesExactlyTheNamedPointsAndPutsThemBack) {
  Random random(3, 0);
  for (int round = 0; round < 50; ++round) {
    Points p;
    const std::size_t n = 1 + random.bits() % 40;
    for (std::size_t i = 0; i < n; ++i) p.push_local(static_cast<double>(i), 2.0, 3.0);
    std::vector<std::size_t> out;
    for (std::size_t i = 0; i < n; ++i)
      if (random.uniform() < 0.3) out.push_back(i);
    const Points before = p;
    {
      const LeftOut left(p, out);
      ASSERT_EQ(p.size(), n - out.size());
      std::vector<double> kept(p.x.begin(), p.x.end());
      std::ranges::sort(kept);
      std::vector<double> expected;
      for (std::size_t i = 0; i < n; ++i)
        if (!std::ranges::binary_search(out, i)) expected.push_back(static_cast<double>(i));
      EXPECT_EQ(kept, expected);
    }
    EXPECT_EQ(p.x, before.x);
    EXPECT_EQ(p.z, before.z);
  }
}

// A mean whose largest deviations are left out, against the mean of all, of the same numbers.
TEST(TrimmingLoss, IsWhatRepeatedMeansShow) {
  Random random(31, 0);
  constexpr std::size_t n = 2000, runs = 4000;
  for (const double share : {0.003, 0.05}) {
    const auto left = static_cast<std::size_t>(share * n);
    double all = 0, kept = 0;
    for (std::size_t k = 0; k < runs; ++k) {
      std::vector<double> x(n);
      double mean = 0;
      for (double& v : x) mean += (v = random.normal()) / n;
      std::ranges::nth_element(x, x.end() - static_cast<std::ptrdiff_t>(left), {}, [&](double v) {
        return std::abs(v - mean);
      });
      double sum = 0;
      for (std::size_t i = 0; i < n - left; ++i) sum += x[i];
      all += mean * mean;
      kept += std::pow(sum / static_cast<double>(n - left), 2);
    }
    EXPECT_NEAR(kept / all, trimming_loss(share) / (1 - share), 0.02) << share;
  }
  EXPECT_NEAR(trimming_loss(0.003), 1.028, 5e-4);
  EXPECT_EQ(trimming_loss(0), 1);
}

}  // namespace
}  // namespace rigproof
