#include <cmath>
#include <fstream>
#include <sstream>

#include <gtest/gtest.h>

#include "fit/fit.h"
#include "shared_data.h"
#include "simulate/expect.h"
#include "simulate/noise_field.h"
#include "simulate/sensor.h"

namespace rigproof {
namespace {

// Variance, correlation and white share of a large patch against the stated model; 0.01 is about
// three standard errors for 600 × 600 pixels with 25 px² of correlation.
TEST(NoiseField, HasTheStatedCorrelation) {
  const NoiseField field(Chance(3), 25, 0.2);
  const int n = 600;
  const std::vector<float> e = field.block(100, n, 50, n, 1);
  double mean = 0, square = 0;
  for (const float v : e) {
    mean += v;
    square += static_cast<double>(v) * v;
  }
  EXPECT_NEAR(mean / (n * n), 0, 0.03);
  EXPECT_NEAR(square / (n * n), 1, 0.03);
  for (const int lag : {1, 2, 3, 5, 8}) {
    double along = 0, down = 0;
    for (int r = 0; r + lag < n; ++r)
      for (int c = 0; c + lag < n; ++c) {
        along += static_cast<double>(e[r * n + c]) * e[r * n + c + lag];
        down += static_cast<double>(e[r * n + c]) * e[(r + lag) * n + c];
      }
    const double count = static_cast<double>(n - lag) * (n - lag);
    EXPECT_NEAR(along / count, field.correlation(lag), 0.03) << lag;
    EXPECT_NEAR(down / count, field.correlation(lag), 0.03) << lag;
  }
  EXPECT_NEAR(field.area_in_points(1), 25, 0.01);  // A = ∬ρ as asked for
  EXPECT_NEAR(field.area_in_points(10), 1, 0.01);
}

TEST(NoiseField, DoesNotDependOnBlocks) {
  const NoiseField field(Chance(9), 25, 0.2);
  const std::vector<float> whole = field.block(0, 12, 6, 30, 3);
  const std::vector<float> part = field.block(15, 4, 21, 10, 3);
  for (int r = 0; r < 4; ++r)
    for (int c = 0; c < 10; ++c) EXPECT_EQ(part[r * 10 + c], whole[(r + 5) * 30 + c + 5]);
}

StereoRig rig() {
  StereoGeometry g;
  g.baseline_mm = 300;
  g.focal_px = 3500;
  g.image_px = {2448, 2048};
  g.aim_mm = 600;
  return make_stereo_rig(g);
}

Sensor sensor() {
  Sensor s;
  s.truth = rig();
  s.belief = believe(s.truth, {});
  s.blemishes = Blemishes::none();
  s.noise.incidence_power = s.noise.defocus = 0;
  s.near_mm = 525;
  s.far_mm = 675;
  s.step = 4;
  return s;
}

VirtualScene plate_at(double z, double half) {
  VirtualScene scene;
  PlateBody p;
  p.plane = {{0, 0, z}, -Vec3::UnitZ()};
  p.half_u = p.half_v = half;
  p.feature = 0;
  scene.plates.push_back(p);
  return scene;
}

double depth_sd(double z, const Sensor& s, std::uint64_t seed) {
  const MeasuredScan scan = measure(plate_at(z, 35), s, {}, Chance(seed));
  double square = 0;
  for (const MeasuredPoint& p : scan.points) square += std::pow(p.point.z() - z, 2);
  return std::sqrt(square / static_cast<double>(scan.points.size()));
}

// σ_Z = Z²/(B·f)·(1 + B²/4Z²)·σ at the centre, the textbook rule of stereo triangulation. About
// 8000 points with a correlation area of 2 points: one standard error is 1 %.
TEST(DepthNoise, FollowsTheFormula) {
  const Sensor s = sensor();
  for (const double z : {450.0, 600.0, 780.0}) {
    double square = 0;
    for (std::uint64_t seed = 1; seed <= 3; ++seed) square += std::pow(depth_sd(z, s, seed), 2) / 3;
    EXPECT_NEAR(std::sqrt(square) / depth_noise(300, 3500, z, 0.02), 1, 0.03) << z;
  }
}

// The outside check of σ_Z ∝ Z²: spheres scanned with a structured-light sensor at 0.9 to 2.2 m
// (shared/scans/kinect_spheres, its README names data set, paper and licence); Khoshelham and
// Elberink, Sensors 12 (2012) 1437, publish σ_Z = 1.425e-6 Z² mm for that sensor. Log–log slope of
// our simulated depths and of those scans.
TEST(DepthNoise, GrowsAsRealScansDo) {
  RIGPROOF_SHARED_FILE(table, "scans/kinect_spheres/expected.csv");
  std::ifstream in(table);
  std::string line;
  std::getline(in, line);
  std::vector<std::string> names;
  std::stringstream head(line);
  for (std::string cell; std::getline(head, cell, ',');) names.push_back(cell);
  const auto column = [&](const std::vector<std::string>& known) {
    for (std::size_t i = 0; i < names.size(); ++i)
      for (const std::string& k : known)
        if (names[i] == k) return static_cast<int>(i);
    return -1;
  };
  const int z = column({"cz", "z", "center_z", "cz_mm"}), rms = column({"rms_3mad"});
  ASSERT_GE(z, 0) << line;
  ASSERT_GE(rms, 0) << line;
  double sx = 0, sy = 0, sxx = 0, sxy = 0, syy = 0;
  int n = 0;
  while (std::getline(in, line)) {
    std::vector<std::string> cells;
    std::stringstream row(line);
    for (std::string cell; std::getline(row, cell, ',');) cells.push_back(cell);
    const double x = std::log(std::stod(cells[z])), y = std::log(std::stod(cells[rms]));
    sx += x;
    sy += y;
    sxx += x * x;
    sxy += x * y;
    syy += y * y;
    ++n;
  }
  ASSERT_EQ(n, 12);
  const double real = (n * sxy - sx * sy) / (n * sxx - sx * sx);
  const Sensor s = sensor();
  const double ours = std::log(depth_sd(800, s, 5) / depth_sd(480, s, 6)) / std::log(800.0 / 480.0);
  // Three standard errors of the slope, from the scatter of the twelve scans about the line.
  const double left = (syy - sy * sy / n) - real * (sxy - sx * sy / n);
  const double slope_u = std::sqrt(left / (n - 2) / (sxx - sx * sx / n));
  EXPECT_LT(slope_u, 0.3);
  EXPECT_NEAR(real, 2, 3 * slope_u);
  EXPECT_NEAR(ours, 2, 0.15);  // a little less: the factor 1 + B²/4Z²
}

TEST(Sensor, WithoutNoiseAndFaultEveryPointIsTrue) {
  Sensor s = sensor();
  s.noise.on = false;
  s.truth.cameras[0].distortion = s.truth.cameras[1].distortion = {-0.1, 0.05, 0, 2e-4, -1e-4};
  s.belief = believe(s.truth, {});
  for (const Matching m : {Matching::epipolar, Matching::free_match}) {
    s.matching = m;
    const MeasuredScan scan = measure(plate_at(640, 80), s, {}, Chance(1));
    ASSERT_GT(scan.points.size(), 10000u);
    for (const MeasuredPoint& p : scan.points)
      ASSERT_LT((p.point - scan.details[p.detail].truth).norm(), 1e-9);
  }
}

TEST(Sensor, DoesNotDependOnThreads) {
  Sensor s = sensor();
  s.blemishes = {};
  const MeasuredScan one = measure(plate_at(600, 60), s, {}, Chance(4), 1);
  const MeasuredScan three = measure(plate_at(600, 60), s, {}, Chance(4), 3);
  ASSERT_EQ(one.points.size(), three.points.size());
  for (std::size_t i = 0; i < one.points.size(); ++i)
    ASSERT_EQ(one.points[i].point, three.points[i].point);
}

TEST(Sensor, OutliersAndDropoutsKeepTheirShares) {
  Sensor s = sensor();
  s.blemishes.dropouts = 0.05;
  s.blemishes.outliers = 0.02;
  const std::size_t all = measure(plate_at(600, 80), sensor(), {}, Chance(8)).points.size();
  const MeasuredScan scan = measure(plate_at(600, 80), s, {}, Chance(8));
  const double n = static_cast<double>(all);
  EXPECT_NEAR(1 - static_cast<double>(scan.points.size()) / n, 0.05, 4 * std::sqrt(0.05 / n));
  std::size_t astray = 0;
  for (const MeasuredDetail& d : scan.details) astray += d.outlier;
  EXPECT_NEAR(static_cast<double>(astray) / n, 0.02, 4 * std::sqrt(0.02 / n));
}

// Closed form: of n normal residuals the quantiles z(1 − m/2n) at m = k + e^−γ and k + 2e^−γ.
TEST(ExpectedRange, IsTheNormalQuantile) {
  const std::vector<double> residuals(10000, 0.0), sigmas(10000, 0.01);
  EXPECT_NEAR(expected_range(residuals, sigmas, 30, 0), 0.0591845717, 1e-6);
  EXPECT_NEAR(expected_range(residuals, sigmas, 30, 20), 0.0653559299, 1e-6);
}

// The second-order bias of a sphere fit under noise along the ray (method, section 1: −0.3 µm in z
// at 0.05 px and −1.1 at 0.1 px for a Ø 30 ball at 600 mm), by points at ± σ.
TEST(ExpectedBall, CarriesTheSecondOrderBias) {
  Sensor s = sensor();
  s.step = 2;
  VirtualScene scene;
  scene.balls.push_back({{{0, 0, 600}, 15}, {}, 0});
  const std::array<Vec3, 2> cameras{s.truth.cameras[0].center(), s.truth.cameras[1].center()};
  for (const auto& [px, bias] : {std::pair{0.05, -0.3}, std::pair{0.1, -1.1}}) {
    s.noise.disparity_px = px;
    const MeasuredScan scan = measure(scene, s, {}, Chance(1));
    const ExpectedBall e = expect_ball(scan, 0, scene.balls[0].sphere, cameras, ZoneRules{}, 0);
    ASSERT_TRUE(e.ok);
    EXPECT_NEAR(1e3 * (e.sphere.center.z() - 600), bias, 0.1) << px;
  }
}

}  // namespace
}  // namespace rigproof
