#include <cmath>

#include <gtest/gtest.h>

#include "evaluate/made_points.h"
#include "evidence/local_noise.h"
#include "evidence/tails.h"

namespace rigproof {
namespace {

struct Surface {
  Points points;
  std::vector<double> residuals;

  SeenSurface seen() const {
    return {points,
            residuals,
            -Vec3::UnitZ(),
            std::nullopt,
            -Vec3::UnitZ(),
            1,
            Vec3::UnitX(),
            Vec3::UnitY()};
  }
};

// White noise of deviation `sd` on a unit grid, then the mean over (2h+1)² neighbours.
Surface field(int n, int h, std::uint64_t seed, double sd = 1) {
  Random random(seed, 0);
  const int m = n + 2 * h;
  std::vector<double> white(static_cast<std::size_t>(m * m));
  for (double& w : white) w = sd * random.normal();
  Surface s;
  for (int i = 0; i < n; ++i)
    for (int j = 0; j < n; ++j) {
      double sum = 0;
      for (int a = 0; a <= 2 * h; ++a)
        for (int b = 0; b <= 2 * h; ++b)
          sum += white[static_cast<std::size_t>((i + a) * m + j + b)];
      s.points.push_local(i, j, 0);
      s.residuals.push_back(sum / ((2 * h + 1) * (2 * h + 1)));
    }
  return s;
}

// Var(e₋₁ − 2e₀ + e₁) = (6 − 8ρ₁ + 2ρ₂)σ²; the ratio is over √6 σ, 1 for independent points.
double ratio(double rho1, double rho2) { return std::sqrt((6 - 8 * rho1 + 2 * rho2) / 6); }

TEST(SecondDifferences, OfBoxMeansOverWhiteNoiseFollowTheirCorrelation) {
  // ρ of box means over white noise: 3×3 2/3, 1/3; 5×5 0.8, 0.6 (overlap of two boxes).
  EXPECT_NEAR(local_noise(field(120, 0, 1).seen()).second_difference_ratio, 1, 0.05);
  // Taking the tilt out of a patch of n independent values leaves √(1 − 3/n) of their deviation:
  // 16²/9 and 16²/25 values here.
  const double left3 = std::sqrt(1 - 3 * 9 / 256.0), left5 = std::sqrt(1 - 3 * 25 / 256.0);
  EXPECT_NEAR(local_noise(field(120, 1, 2).seen()).second_difference_ratio,
              ratio(2.0 / 3, 1.0 / 3) / left3,
              0.04);
  EXPECT_NEAR(
      local_noise(field(120, 2, 3).seen()).second_difference_ratio, ratio(0.8, 0.6) / left5, 0.04);
}

TEST(LocalNoise, IsThatOfThePointsWhateverTheForm) {
  Surface s = field(120, 0, 4, 0.003);
  for (std::size_t i = 0; i < s.residuals.size(); ++i)
    s.residuals[i] += 5e-6 * s.points.x[i] * s.points.x[i] + 1e-3 * s.points.y[i];
  const LocalNoise n = local_noise(s.seen());
  EXPECT_NEAR(n.sd, 0.003, 0.0002);
  EXPECT_EQ(n.shell_distance, 0);
  EXPECT_GE(n.patches.size(), 20u);
}

TEST(LocalNoise, FindsTwoLayersFiveDeviationsApart) {
  for (std::uint64_t seed = 1; seed <= 5; ++seed) {
    Surface s = field(120, 0, seed, 0.003);
    for (std::size_t i = 0; i < s.residuals.size(); i += 2) s.residuals[i] += 0.015;
    const LocalNoise n = local_noise(s.seen());
    EXPECT_NEAR(n.shell_distance, 0.015, 0.001) << seed;
    EXPECT_NEAR(n.shell_separation, 5, 0.5) << seed;
  }
}

TEST(Layers, NoneInOneDistribution) {
  int normal = 0, uniform = 0;
  for (std::uint64_t seed = 0; seed < 200; ++seed) {
    Random random(seed, 7);
    std::vector<double> a, b;
    for (int i = 0; i < 250; ++i) {
      a.push_back(random.normal());
      b.push_back(random.uniform());
    }
    normal += layers(a).two();
    uniform += layers(b).two();
  }
  EXPECT_EQ(normal, 0);
  EXPECT_EQ(uniform, 0);
}

std::vector<double> normals(std::size_t n, std::uint64_t seed) {
  Random random(seed, 3);
  std::vector<double> out;
  for (std::size_t i = 0; i < n; ++i) out.push_back(random.normal());
  return out;
}

TEST(SharpEnd, IsWhereTailsWereCut) {
  std::vector<double> cut = normals(100'000, 1);
  std::erase_if(cut, [](double e) { return std::abs(e) > 2; });
  const auto end = sharp_end(tail_histogram(cut), 1);
  ASSERT_TRUE(end);
  // 68.27 % of what is left lie within 0.94 σ: Φ(0.94) − Φ(−0.94) = 0.6827 · 0.9545 to three
  // digits.
  EXPECT_NEAR(*end, 2 / 0.9368, 0.06);
}

TEST(SharpEnd, NoneInNormalOrHeavierTails) {
  EXPECT_FALSE(sharp_end(tail_histogram(normals(100'000, 2)), 1));
  std::vector<double> heavy = normals(100'000, 3);
  const std::vector<double> scale = normals(100'000, 4);
  for (std::size_t i = 0; i < heavy.size(); ++i) heavy[i] *= 1 + 0.5 * std::abs(scale[i]);
  EXPECT_FALSE(sharp_end(tail_histogram(heavy), 1));
}

TEST(SharpEnd, NeedsPoints) {
  std::vector<double> cut = normals(100, 5);
  std::erase_if(cut, [](double e) { return std::abs(e) > 2; });
  EXPECT_FALSE(sharp_end(tail_histogram(cut), 1));
}

}  // namespace
}  // namespace rigproof
