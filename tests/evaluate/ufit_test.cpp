#include "evaluate/ufit.h"

#include <numbers>

#include <Eigen/LU>
#include <gtest/gtest.h>

#include "evaluate/made_points.h"

namespace rigproof {
namespace {

struct Surface {
  Points points;
  std::vector<double> residual;
};

ZoneNoise noise_of(const Surface& s) {
  return zone_noise({s.points, s.residual, -Vec3::UnitZ(), std::nullopt, 1});
}

// White noise on a unit grid, then the mean over (2h+1)² neighbours, scaled back to deviation 1.
Surface field(int n, int h, std::uint64_t seed) {
  Random random(seed, 0);
  const int m = n + 2 * h;
  std::vector<double> white(static_cast<std::size_t>(m * m));
  for (double& w : white) w = random.normal();
  Surface s;
  for (int i = 0; i < n; ++i)
    for (int j = 0; j < n; ++j) {
      double sum = 0;
      for (int a = 0; a <= 2 * h; ++a)
        for (int b = 0; b <= 2 * h; ++b)
          sum += white[static_cast<std::size_t>((i + a) * m + j + b)];
      s.points.push_local(i, j, 0);
      s.residual.push_back(sum / (2 * h + 1));
    }
  return s;
}

TEST(ZoneNoise, WhiteNoiseHasAnAreaOfOnePoint) {
  const ZoneNoise n = noise_of(field(150, 0, 1));
  EXPECT_NEAR(n.sd_mm, 1, 0.03);
  EXPECT_GE(n.area, 1);
  EXPECT_LT(n.area, 1.6);
}

TEST(ZoneNoise, ABoxMeanOfNinePointsHasAnAreaOfNine) {
  // ∬ρ of a box mean over k points is k.
  for (const auto& [h, area] : {std::pair{1, 9.0}, {2, 25.0}}) {
    std::vector<ZoneNoise> zones;
    for (std::uint64_t seed = 1; seed <= 6; ++seed) zones.push_back(noise_of(field(160, h, seed)));
    const ZoneNoise pooled = pooled_noise(zones);
    EXPECT_NEAR(pooled.area, area, 0.2 * area);
    EXPECT_NEAR(pooled.sd_mm, 1, 0.05);
  }
}

// Where neighbours share their error over more than five spacings, every fourth point is enough,
// and its neighbours are twice as far away. The true area is that of the box mean.
TEST(ZoneNoise, ALongCorrelationIsMeasuredAmongFewerPoints) {
  std::vector<ZoneNoise> zones;
  for (std::uint64_t seed = 1; seed <= 6; ++seed) zones.push_back(noise_of(field(160, 4, seed)));
  const ZoneNoise pooled = pooled_noise(zones);
  EXPECT_EQ(pooled.coarse, 4u);
  EXPECT_NEAR(pooled.area, 81, 0.25 * 81);
  // About a point lie π d² others within the distance d, by whichever of them it is counted; 2/3 d³
  // a length of the edge are missing.
  double within = 0;
  for (std::size_t k = 0; k < 9; ++k) within += pooled.neighbours[k];
  const double d = 17, missing = 2.0 / 3 * d * d * d * 4 / 160;
  EXPECT_NEAR(within, std::numbers::pi * d * d - missing, 0.05 * std::numbers::pi * d * d);
}

TEST(ZoneNoise, IgnoresLongShapesAndTheOrderOfThePoints) {
  Surface s = field(150, 1, 3);
  const ZoneNoise plain = noise_of(s);
  for (std::size_t i = 0; i < s.residual.size(); ++i)
    s.residual[i] += 2e-4 * s.points.x[i] * s.points.x[i];
  const ZoneNoise bowed = noise_of(s);
  EXPECT_NEAR(bowed.area, plain.area, 0.25 * plain.area);
  Surface mixed;
  for (std::size_t k = 0; k < s.residual.size(); ++k) {
    const std::size_t i = k * 7919 % s.residual.size();
    mixed.points.push(s.points.at(i));
    mixed.residual.push_back(s.residual[i]);
  }
  EXPECT_NEAR(noise_of(mixed).area, bowed.area, 0.2 * bowed.area);
}

TEST(ZoneNoise, TooFewPointsAreTakenAsIndependent) {
  const ZoneNoise n = noise_of(field(5, 0, 1));
  EXPECT_EQ(n.pairs, 0u);
  EXPECT_EQ(n.area, 1);
  EXPECT_GT(n.sd_mm, 0.5);
}

TEST(SphereCovariance, ClosedFormOfAnImageSampledCap) {
  // Radial noise: u²(z) = (σ²/n)/(q − m²), u²(r) = (σ²/n) q/(q − m²): 7.060 and 5.582 at 60°. Noise
  // along the ray has the radial part σ cos, so the closed form is that of the sandwich; here only
  // equal weights are compared, with the ray replaced by the normal's own average.
  const Sphere s{{0, 0, 600}, 15};
  const Points p = made::cap(s, -Vec3::UnitZ(), 60, 0.1);
  const SphereFit fit = fit_sphere(p);
  const double n = static_cast<double>(p.size());
  EXPECT_NEAR(std::sqrt(fit.cofactor(2, 2) * n), 7.060, 0.02);
  EXPECT_NEAR(std::sqrt(fit.cofactor(3, 3) * n), 5.582, 0.02);
}

TEST(SphereCovariance, PredictsTheScatterOfRepeatedFits) {
  const Sphere s{{0, 0, 600}, 15};
  const Vec3 axis = -Vec3::UnitZ();
  const Points exact = made::cap(s, axis, 60, 0.8);
  Random random(17, 0);
  const int runs = 400;
  double zz = 0, rr = 0, xx = 0;
  for (int k = 0; k < runs; ++k) {
    Points p = exact;
    for (double& z : p.z) z += 0.01 * random.normal();  // along the ray
    const Sphere f = fit_sphere(p).sphere;
    const Vec3 d = f.center - s.center;
    zz += d.z() * d.z();
    xx += 0.5 * (d.x() * d.x() + d.y() * d.y());
    rr += (f.radius - 15) * (f.radius - 15);
  }
  const Eigen::Matrix4d cov = sphere_covariance(exact, fit_sphere(exact), axis, {0.01, 1, 1});
  // 400 runs tell a standard deviation to 3.5 %.
  EXPECT_NEAR(std::sqrt(zz / runs) / std::sqrt(cov(2, 2)), 1, 0.12);
  EXPECT_NEAR(std::sqrt(rr / runs) / std::sqrt(cov(3, 3)), 1, 0.12);
  EXPECT_NEAR(std::sqrt(xx / runs) / std::sqrt(cov(0, 0)), 1, 0.12);
}

// Variance of noise along the ray that grows as 1/cos of incidence, at an edge of 60° to the
// double.
TEST(SphereCovariance, FollowsNoiseThatGrowsWithIncidence) {
  const Sphere s{{0, 0, 600}, 15};
  const Vec3 axis = -Vec3::UnitZ();
  const Points exact = made::cap(s, axis, 60, 0.8);
  std::vector<double> sds;
  double square = 0;
  for (std::size_t i = 0; i < exact.size(); ++i) {
    const double c = (exact.at(i) - s.center).dot(axis) / s.radius;
    sds.push_back(0.01 / std::sqrt(c));
    square += sds.back() * sds.back() / static_cast<double>(exact.size());
  }
  Random random(19, 0);
  const int runs = 400;
  double zz = 0, xx = 0, growth = 0;
  for (int k = 0; k < runs; ++k) {
    Points p = exact;
    for (std::size_t i = 0; i < p.size(); ++i) p.z[i] += sds[i] * random.normal();
    const SphereFit fit = fit_sphere(p);
    const Vec3 d = fit.sphere.center - s.center;
    zz += d.z() * d.z();
    xx += 0.5 * (d.x() * d.x() + d.y() * d.y());
    const auto residuals = sphere_residuals(p, fit.sphere);
    growth += zone_noise({p, residuals, axis, fit.sphere.center, 1}).growth / runs;
  }
  EXPECT_NEAR(growth, 1, 0.15);
  const Eigen::Matrix4d cov =
      sphere_covariance(exact, fit_sphere(exact), axis, {std::sqrt(square), 1, 1, {}, {}, 1, 1});
  EXPECT_NEAR(std::sqrt(zz / runs) / std::sqrt(cov(2, 2)), 1, 0.12);
  EXPECT_NEAR(std::sqrt(xx / runs) / std::sqrt(cov(0, 0)), 1, 0.09);  // √(2 · 400) of them
}

TEST(SphereCovariance, IsTheSandwichOfItsDefinition) {
  const Sphere s{{5, -8, 600}, 15};
  const Vec3 ray = (Vec3(0.2, -0.1, -1)).normalized();
  const Points p = made::cap(s, ray, 80, 0.9);
  const SphereFit fit = fit_sphere(p);
  for (const double growth : {0.0, 0.7}) {
    ZoneNoise noise;
    noise.sd_mm = 0.013;
    noise.area = 5;
    noise.growth = growth;
    // Rows of J: −(n, 1); variance of a residual sd² (n·ray)² (1 + growth (1/|n·ray| − 1)), its
    // growth 1 in the mean. Cosines below 0.2 count as 0.2.
    const auto n = static_cast<long>(p.size());
    Eigen::MatrixXd jacobian(n, 4);
    Eigen::VectorXd seen(n), grown(n);
    for (long i = 0; i < n; ++i) {
      const Vec3 d = (p.at(static_cast<std::size_t>(i)) - fit.sphere.center).normalized();
      jacobian.row(i) << -d.transpose(), -1;
      seen[i] = std::pow(d.dot(ray), 2);
      grown[i] = 1 + growth * (1 / std::max(0.2, std::abs(d.dot(ray))) - 1);
    }
    const Eigen::VectorXd variance = (0.013 * 0.013 / grown.mean()) * seen.cwiseProduct(grown);
    const Eigen::Matrix4d bread = (jacobian.transpose() * jacobian).inverse();
    const Eigen::Matrix4d expected =
        5 * bread * jacobian.transpose() * variance.asDiagonal() * jacobian * bread;
    const Eigen::Matrix4d found = sphere_covariance(p, fit, ray, noise);
    EXPECT_NEAR((found - expected).norm(), 0, 1e-9 * expected.norm()) << growth;
  }
}

// The formulas of ufit.h with another way to the quantile.
TEST(RangeRepeatability, IsTheSmallerOfGumbelAndQuantile) {
  const auto gumbel = [](double n) {
    return std::sqrt(2.0) * std::numbers::pi / std::sqrt(6.0) / std::sqrt(2 * std::log(n));
  };
  const auto quantile = [](double q, double n) {
    double low = -10, high = 0;
    for (int k = 0; k < 80; ++k) {
      const double z = (low + high) / 2;
      (0.5 * std::erfc(-z / std::sqrt(2.0)) < q ? low : high) = z;
    }
    const double density = std::exp(-low * low / 2) / std::sqrt(2 * std::numbers::pi);
    return std::sqrt(2.0) * std::sqrt(q * (1 - q) / n) / density;
  };
  EXPECT_NEAR(range_repeatability(0.01, 1, 5000, 0), 0.01 * gumbel(5000), 1e-12);
  EXPECT_NEAR(range_repeatability(0.01, 4, 5000, 0), 0.01 * gumbel(1250), 1e-12);
  EXPECT_NEAR(range_repeatability(0.01, 0.5, 5000, 0), 0.01 * gumbel(5000), 1e-12);
  EXPECT_NEAR(range_repeatability(0.01, 9999, 5000, 0), 0.01 * gumbel(2), 1e-12);
  ASSERT_LT(quantile(0.0015, 5000), gumbel(5000));
  EXPECT_NEAR(range_repeatability(0.01, 1, 5000, 15), 0.01 * quantile(0.0015, 5000), 1e-12);
  EXPECT_NEAR(range_repeatability(0.01, 4, 5000, 1500), 0.01 * quantile(0.15, 1250), 1e-12);
  // Half of the points and more has no quantile left at either end.
  EXPECT_NEAR(range_repeatability(0.01, 1, 5000, 2500), 0.01 * gumbel(5000), 1e-12);
}

TEST(RangeRepeatability, PredictsTheScatterOfRanges) {
  Random random(23, 0);
  const std::size_t n = 4000, runs = 300;
  for (const std::size_t left : {std::size_t{0}, std::size_t{12}}) {
    double sum = 0, square = 0;
    for (std::size_t k = 0; k < runs; ++k) {
      std::vector<double> d(n);
      for (double& x : d) x = random.normal();
      std::ranges::sort(d, {}, [](double x) { return std::abs(x); });
      d.resize(n - left);
      const auto [lo, hi] = std::ranges::minmax(d);
      sum += hi - lo;
      square += (hi - lo) * (hi - lo);
    }
    const double mean = sum / runs, sd = std::sqrt(square / runs - mean * mean);
    const double predicted = range_repeatability(1, 1, n, left);
    EXPECT_GT(predicted, 0.6 * sd) << left;
    EXPECT_LT(predicted, 2.0 * sd) << left;
  }
  EXPECT_GT(range_repeatability(1, 25, n, 12), range_repeatability(1, 1, n, 12));
}

}  // namespace
}  // namespace rigproof
