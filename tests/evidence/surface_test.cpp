#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "evaluate/made_points.h"
#include "evidence/evidence.h"

namespace rigproof {
namespace {

const Sphere kBall{{20, 10, 600}, 15};
const Vec3 kAxis = -kBall.center.normalized();
const std::vector<Vec3> kCameras{{-150, 0, 0}, {150, 0, 0}};
constexpr double kDeg = std::numbers::pi / 180;

BallFeature evaluated(const Points& points) {
  ZoneContext context;
  context.cameras = kCameras;
  return made::ball(points, made::sighting(kBall, kAxis), 30, context);
}

// A noisy cap without the points within `half_deg` of the highlight of the left camera.
Points cap(double pitch, double half_deg, std::uint64_t seed) {
  const Points all = made::cap(kBall, kAxis, 75, pitch, made::noise(0.003, seed));
  const Vec3 light = -kBall.center.normalized();
  const Vec3 highlight = (light + (kCameras[0] - kBall.center).normalized()).normalized();
  Points out;
  out.origin = all.origin;
  for (std::size_t i = 0; i < all.size(); ++i)
    if ((all.at(i) - kBall.center).normalized().dot(highlight) < std::cos(half_deg * kDeg))
      out.push(all.at(i));
  return out;
}

TEST(Hole, IsFoundAboutTheHighlightAndNowhereElse) {
  for (std::uint64_t seed = 1; seed <= 4; ++seed) {
    const auto hole = find_hole(evaluated(cap(0.25, 4, seed)), kCameras);
    ASSERT_TRUE(hole) << seed;
    EXPECT_NEAR(hole->width_deg, 8, 1.5);  // points lie a degree apart
    EXPECT_FALSE(find_hole(evaluated(cap(0.25, 0, seed)), kCameras)) << seed;
    EXPECT_FALSE(find_hole(evaluated(cap(0.9, 0, seed)), kCameras)) << seed;
  }
}

TEST(Bumps, AreFoundAtTheirPlace) {
  const Vec3 along = Vec3::UnitX();
  const Vec3 spot = (kAxis + 0.4 * Vec3::UnitX() + 0.2 * Vec3::UnitY()).normalized();
  Points points = made::cap(kBall, kAxis, 70, 0.3, made::noise(0.002, 1));
  for (std::size_t i = 0; i < points.size(); ++i) {
    const Vec3 d = (points.at(i) - kBall.center).normalized();
    if (d.dot(spot) < std::cos(9 * kDeg)) continue;
    const Vec3 moved = points.local(i) + 0.012 * d;
    points.x[i] = moved.x(), points.y[i] = moved.y(), points.z[i] = moved.z();
  }
  const auto bumps = find_bumps(evaluated(points), along);
  ASSERT_FALSE(bumps.empty());
  for (const Bump& b : bumps) {
    EXPECT_GT(b.in_space.dot(spot), std::cos(15 * kDeg));
    EXPECT_NEAR(b.height, 0.010, 0.004);
  }
  EXPECT_TRUE(find_bumps(evaluated(made::cap(kBall, kAxis, 70, 0.3, made::noise(0.002, 2))), along)
                  .empty());
}

PlateFeature plate(const std::function<double(double, double)>& form, std::uint64_t seed) {
  Random random(seed, 2);
  const Vec3 center(0, 0, 600);
  const Points points =
      made::plate(center, Vec3::UnitX(), Vec3::UnitY(), 200, 130, 0.8, [&](double a, double b) {
        return form(a, b) + 0.003 * random.normal();
      });
  return made::plate_feature(
      points, made::plate_sighting(center, Vec3::UnitX(), Vec3::UnitY(), 200, 130), {});
}

TEST(Ripple, OfKnownPeriodAndHeight) {
  // 4 µm peak to valley: a tenth of a limit of 40 µm, below the noise of a point.
  for (const double period : {9.0, 14.0, 22.0}) {
    const PlateFeature p = plate(
        [&](double a, double b) {
          return 0.002 * std::sin(2 * std::numbers::pi * (0.8 * a + 0.6 * b) / period);
        },
        static_cast<std::uint64_t>(period));
    const auto ripple = find_ripple(p);
    ASSERT_TRUE(ripple) << period;
    EXPECT_NEAR(ripple->period, period, 0.06 * period);
    EXPECT_NEAR(ripple->height, 0.004, 0.001);
  }
}

TEST(Ripple, NoneInNoiseOrBow) {
  for (std::uint64_t seed = 1; seed <= 5; ++seed)
    EXPECT_FALSE(find_ripple(plate(
        [](double a, double b) { return 2e-6 * a * a - 1e-6 * a * b + 1e-8 * a * a * b; }, seed)))
        << seed;
}

TEST(Evidence, OfABallHoldsWhatItsPointsTell) {
  Points points = cap(0.25, 0, 9);
  for (std::size_t i = 0; i < points.size(); i += 100) {  // one in a hundred astray, either way
    const Vec3 d = (points.at(i) - kBall.center).normalized();
    const Vec3 q = points.local(i) + (i % 200 ? 0.1 : -0.1) * d;
    points.x[i] = q.x(), points.y[i] = q.y(), points.z[i] = q.z();
  }
  ScanEvidence scan;
  const BallFeature ball = evaluated(points);
  add_balls(scan, {{ball, "K-1", "A", Vec3::UnitX()}}, kCameras);
  const FeatureEvidence& e = scan.features.at(0);
  EXPECT_EQ(e.artefact, "K-1");
  EXPECT_NEAR(e.scatter, 0.003, 0.0003);
  EXPECT_GT(e.noise.sd, e.scatter);  // along the view, at up to 60° to the normal
  EXPECT_LT(e.noise.sd, 2 * e.scatter);
  EXPECT_NEAR(e.share_astray, 0.01, 0.002);
  EXPECT_NEAR(e.spacing, 0.25, 0.02);
  EXPECT_GT(e.least_distance, 0.2);
  EXPECT_FALSE(e.hole);
  EXPECT_EQ(coordinate_step(scan), 0);
  EXPECT_FALSE(scan.fingerprint.about_neighbours.empty());
}

}  // namespace
}  // namespace rigproof
