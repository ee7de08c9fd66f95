#include <array>
#include <cmath>
#include <numbers>

#include <Eigen/QR>
#include <gtest/gtest.h>

#include "evaluate/random.h"
#include "evaluate/ufit.h"

namespace rigproof {
namespace {

// Points of a cell of 12 spacings: 64, so that in up to 16 cells each looks for others.
constexpr int kSide = 8;
constexpr double kPitch = 1.5;  // spacings, so that 4 d² between two points is a whole number
constexpr int kLags = 13;

// Points on a square grid over whole cells about (0, 0), and what was measured there.
struct Grid {
  Points points;
  std::vector<double> residual;
  std::vector<std::array<int, 2>> at;

  Grid(int cells_x, int cells_y, std::uint64_t seed) {
    Random random(seed, 0);
    const int nx = kSide * cells_x, ny = kSide * cells_y;
    std::vector<double> white(static_cast<std::size_t>((nx + 2) * (ny + 2)));
    for (double& w : white) w = random.normal();
    for (int i = 0; i < nx; ++i)
      for (int j = 0; j < ny; ++j) {
        double mean = 0;  // of nine: neighbours share their error
        for (int k = 0; k < 9; ++k)
          mean += white[static_cast<std::size_t>((i + k / 3) * (ny + 2) + j + k % 3)] / 3;
        const double x = kPitch * (i - nx / 2 + 0.5), y = kPitch * (j - ny / 2 + 0.5);
        points.push_local(x, y, 0);
        residual.push_back(mean + 0.02 * x - 0.01 * y + 0.003 * x * y - 0.002 * x * x);
        at.push_back({i, j});
      }
  }
};

// What the header promises, over all pairs and with another solver for the quadratic surface.
struct ByDefinition {
  std::array<double, kLags> sum{}, pairs{}, rho{}, neighbours{};
  double sd = 0, level_pairs = 0, area = 1;

  ByDefinition(const Grid& g, double least, double most) {
    const auto counts = [&](std::size_t i) {
      return g.residual[i] >= least && g.residual[i] <= most;
    };
    const std::size_t n = g.points.size();
    Eigen::MatrixXd a = Eigen::MatrixXd::Zero(static_cast<long>(n), 6);
    Eigen::VectorXd b = Eigen::VectorXd::Zero(static_cast<long>(n));
    Eigen::MatrixXd all = a;
    for (std::size_t i = 0; i < n; ++i) {
      const double x = g.points.x[i], y = g.points.y[i];
      const auto row = static_cast<long>(i);
      all.row(row) << 1, x, y, x * x, x * y, y * y;
      if (!counts(i)) continue;
      a.row(row) = all.row(row);
      b[row] = g.residual[i];
    }
    const Eigen::VectorXd surface = all * a.colPivHouseholderQr().solve(b);
    double centres = 0;
    for (std::size_t i = 0; i < n; ++i) {
      if (!counts(i)) continue;
      ++centres;
      for (std::size_t j = 0; j < n; ++j) {
        if (j == i || !counts(j)) continue;
        const int du = g.at[i][0] - g.at[j][0], dv = g.at[i][1] - g.at[j][1];
        const int square = 9 * (du * du + dv * dv);  // of twice the distance
        int k = 0;
        while ((2 * k + 1) * (2 * k + 1) <= square) ++k;
        if (k >= kLags) continue;
        const auto lag = static_cast<std::size_t>(k);
        const double e = g.residual[i] - surface[static_cast<long>(i)] - g.residual[j] +
                         surface[static_cast<long>(j)];
        sum[lag] += e * e / 2;
        ++pairs[lag];
      }
    }
    double level = 0;
    for (std::size_t k = 9; k < kLags; ++k) level += sum[k], level_pairs += pairs[k];
    level /= level_pairs;
    sd = std::sqrt(level);
    for (std::size_t k = 0; k < kLags; ++k) {
      if (pairs[k] > 0) rho[k] = 1 - sum[k] / pairs[k] / level;
      neighbours[k] = pairs[k] / centres;
    }
    for (std::size_t k = 1; k < 9 && (k == 1 || rho[k] >= 0.02); ++k)
      area += neighbours[k] * rho[k];
  }
};

void expect_same(const ZoneNoise& found, const ByDefinition& expected) {
  ASSERT_EQ(found.rho.size(), static_cast<std::size_t>(kLags));
  EXPECT_EQ(found.coarse, 1u);
  EXPECT_EQ(static_cast<double>(found.pairs), expected.level_pairs);
  EXPECT_NEAR(found.area, expected.area, 1e-7);
  for (std::size_t k = 0; k < kLags; ++k) {
    EXPECT_NEAR(found.rho[k], expected.rho[k], 1e-9) << k;
    EXPECT_NEAR(found.neighbours[k], expected.neighbours[k], 1e-9) << k;
  }
}

TEST(ZoneNoise, IsTheVariogramOfAllPairsWhereEveryPointLooks) {
  for (const auto& [a, b] : {std::pair{4, 4}, {6, 2}, {2, 8}}) {
    const Grid g(a, b, 7);
    const ByDefinition expected(g, -1e300, 1e300);
    ASSERT_LT(expected.rho[5], 0.1);  // else one point of four is asked
    const ZoneNoise found = zone_noise({g.points, g.residual, -Vec3::UnitZ(), std::nullopt, 1});
    EXPECT_NEAR(found.sd_mm, expected.sd, 1e-9);
    expect_same(found, expected);
    EXPECT_EQ(found.growth, 0);
  }
}

// Variance of a normal distribution between ±c, which hold the share `kept`: by Simpson's rule.
double variance_between(double kept) {
  double low = 0, high = 10;
  for (int k = 0; k < 60; ++k) {
    const double c = (low + high) / 2;
    (std::erf(c / std::sqrt(2)) < kept ? low : high) = c;
  }
  const int steps = 2000;
  double sum = 0;
  for (int k = 0; k <= steps; ++k) {
    const double z = low * (2.0 * k / steps - 1);
    sum += (k == 0 || k == steps ? 1 : k % 2 ? 4 : 2) * z * z * std::exp(-z * z / 2);
  }
  return sum * 2 * low / steps / 3 / std::sqrt(2 * std::numbers::pi) / kept;
}

TEST(ZoneNoise, PointsLeftOutTakeNoPartAndTheirTailsAreMadeUpFor) {
  const Grid g(4, 4, 8);
  for (const double share : {0.01, 0.1}) {
    std::vector<double> sorted = g.residual;
    std::ranges::sort(sorted);
    const auto cut = static_cast<std::size_t>(share / 2 * static_cast<double>(sorted.size()));
    const double least = sorted[cut], most = sorted[sorted.size() - 1 - cut];
    const ByDefinition expected(g, least, most);
    const ZoneNoise found =
        zone_noise({g.points, g.residual, -Vec3::UnitZ(), std::nullopt, 1, least, most, 2 * cut});
    expect_same(found, expected);
    const double kept = 1 - 2.0 * static_cast<double>(cut) / static_cast<double>(sorted.size());
    EXPECT_NEAR(found.sd_mm, expected.sd / std::sqrt(variance_between(kept)), 1e-8);
  }
}

TEST(ZoneNoise, PooledIsTheMeanByPairs) {
  const Grid small(2, 4, 9), large(4, 4, 10);
  const ByDefinition a(small, -1e300, 1e300), b(large, -1e300, 1e300);
  std::vector<ZoneNoise> zones;
  for (const Grid* g : {&small, &large})
    zones.push_back(zone_noise({g->points, g->residual, -Vec3::UnitZ(), std::nullopt, 1}));
  zones.emplace_back();  // one without pairs says nothing
  const ZoneNoise pooled = pooled_noise(zones);
  const double all = a.level_pairs + b.level_pairs;
  const double wa = a.level_pairs / all, wb = b.level_pairs / all;
  EXPECT_EQ(static_cast<double>(pooled.pairs), all);
  EXPECT_NEAR(pooled.sd_mm, std::sqrt(wa * a.sd * a.sd + wb * b.sd * b.sd), 1e-9);
  double area = 1;
  for (std::size_t k = 0; k < kLags; ++k) {
    const double rho = wa * a.rho[k] + wb * b.rho[k];
    const double neighbours = wa * a.neighbours[k] + wb * b.neighbours[k];
    EXPECT_NEAR(pooled.rho[k], rho, 1e-9) << k;
    EXPECT_NEAR(pooled.neighbours[k], neighbours, 1e-9) << k;
  }
  for (std::size_t k = 1; k < 9; ++k) {
    const double rho = wa * a.rho[k] + wb * b.rho[k];
    if (k > 1 && rho < 0.02) break;
    area += rho * (wa * a.neighbours[k] + wb * b.neighbours[k]);
  }
  EXPECT_NEAR(pooled.area, area, 1e-7);
}

// 48 cells of 64 points: not all look for others, or a dense scan would take as long as it has
// pairs.
TEST(ZoneNoise, TheNumberOfPairsIsBounded) {
  const Grid g(9, 9, 11);
  const ZoneNoise noise = zone_noise({g.points, g.residual, -Vec3::UnitZ(), std::nullopt, 1});
  // Each of 1024 points has those between 8.5 and 12.5 spacings away.
  const double ring = std::numbers::pi * (12.5 * 12.5 - 8.5 * 8.5) / (kPitch * kPitch);
  EXPECT_LT(static_cast<double>(noise.pairs), 1.05 * 1024 * ring);
  EXPECT_GT(static_cast<double>(noise.pairs), 0.6 * 1024 * ring);
}

// What zones of another coarseness say about distance cannot be added: those with the most pairs
// speak.
TEST(ZoneNoise, PooledOverDistanceIsOfTheCoarsenessWithTheMostPairs) {
  const auto zone = [](std::size_t coarse, std::size_t pairs, double rho) {
    ZoneNoise z;
    z.sd_mm = 0.01;
    z.pairs = pairs;
    z.coarse = coarse;
    z.rho.assign(kLags, rho);
    z.neighbours.assign(kLags, 4);
    return z;
  };
  const ZoneNoise pooled = pooled_noise({zone(1, 900, 0.1), zone(4, 800, 0.3), zone(4, 400, 0.6)});
  EXPECT_EQ(pooled.coarse, 4u);
  EXPECT_EQ(pooled.pairs, 2100u);
  for (const double rho : pooled.rho) EXPECT_NEAR(rho, 0.4, 1e-12);
  for (const double n : pooled.neighbours) EXPECT_NEAR(n, 4, 1e-12);
  EXPECT_NEAR(pooled.sd_mm, 0.01, 1e-12);
}

}  // namespace
}  // namespace rigproof
