#include "evaluate/cap.h"

#include <numbers>

#include <Eigen/Geometry>
#include <Eigen/LU>
#include <gtest/gtest.h>

namespace rigproof {
namespace {

constexpr double kDegree = std::numbers::pi / 180;

TEST(CapAxis, IsTheMeanOfTheUnitDirectionsToTheCameras) {
  const Sphere ball{{0, 0, 500}, 10};
  // One eye straight above, far off, and one to the side, near: distance does not weigh.
  const std::vector<Vec3> eyes{{0, 0, -4000}, {100, 0, 400}};
  const auto [axis, from] = cap_axis(ball, eyes, -Vec3::UnitZ());
  EXPECT_EQ(from, CapAxis::cameras);
  const Vec3 half(std::sin(22.5 * kDegree), 0, -std::cos(22.5 * kDegree));  // between 0° and 45°
  EXPECT_NEAR((axis - half).norm(), 0, 1e-12);
}

TEST(CapAxis, IsTheSeenSideWhereTheBallCannotHaveBeenSeenFromThere) {
  const Vec3 back = -Vec3::UnitZ();
  const auto from = [&](double distance, const Vec3& seen, bool camera) {
    const Sphere ball{{0, 0, distance}, 10};
    return cap_axis(ball, camera ? std::vector<Vec3>{Vec3::Zero()} : std::vector<Vec3>{}, seen);
  };
  for (const bool camera : {false, true}) {
    const CapAxis known = camera ? CapAxis::cameras : CapAxis::origin;
    EXPECT_EQ(from(30.1, back, camera).second, known);
    EXPECT_EQ(from(30, back, camera).second, CapAxis::seen);  // three radii
    EXPECT_EQ(from(0, back, camera).second, CapAxis::seen);
    for (const double deg : {59.0, 61.0}) {
      const Vec3 seen(std::sin(deg * kDegree), 0, -std::cos(deg * kDegree));
      const auto [axis, as] = from(500, seen, camera);
      EXPECT_EQ(as, deg < 60 ? known : CapAxis::seen);
      EXPECT_NEAR((axis - (deg < 60 ? back : seen)).norm(), 0, 1e-12);
    }
  }
  const Sphere ball{{0, 0, 500}, 10};  // eyes on either side say nothing
  EXPECT_EQ(cap_axis(ball, {{0, 0, 0}, {0, 0, 1000}}, back).second, CapAxis::seen);
}

// One point a degree from the axis, on a meridian that turns, at radii that vary.
Points fan(int degrees) {
  Points p;
  p.origin = Vec3(3, -2, 400);
  for (int k = 1; k <= degrees; ++k) {
    const double polar = k * kDegree, turn = 0.7 * k, r = 10 + 0.1 * (k % 3);
    p.push(Vec3(0, 0, 500) + r * Vec3(std::sin(polar) * std::cos(turn),
                                      std::sin(polar) * std::sin(turn),
                                      -std::cos(polar)));
  }
  return p;
}

TEST(HalfAngle, HoldsItsShareOfThePoints) {
  const Vec3 center(0, 0, 500), axis = -Vec3::UnitZ();
  EXPECT_NEAR(half_angle_of(fan(100), center, axis, 0.99), 99, 1e-9);
  EXPECT_NEAR(half_angle_of(fan(100), center, axis, 1), 100, 1e-9);
  EXPECT_NEAR(half_angle_of(fan(100), center, axis, 0.985), 99, 1e-9);
  EXPECT_NEAR(half_angle_of(fan(100), center, axis, 0), 1, 1e-9);
  EXPECT_EQ(half_angle_of(Points(), center, axis, 0.99), 0);
}

TEST(MeanDirection, IsThatOfUnitVectors) {
  Points p;
  p.push(Vec3(2, 0, 0));
  p.push(Vec3(0, 7, 0));
  EXPECT_NEAR((mean_direction(p, Vec3::Zero()) - Vec3(1, 1, 0).normalized()).norm(), 0, 1e-15);
  // From (2, 7, 0) they lie along −Y and −X.
  EXPECT_NEAR((mean_direction(p, Vec3(2, 7, 0)) - Vec3(-1, -1, 0).normalized()).norm(), 0, 1e-15);
}

TEST(SeenHalfAngle, OfABeltBelowTheHemisphereIsThatOfItsSolidAngle) {
  // Dense rings to 110°: beyond the hemisphere sin² would fold back.
  Points p;
  for (int k = 1; k <= 110; ++k)
    for (int turn = 0; turn < 240; ++turn) {
      const double polar = k * kDegree, at = (turn + 0.5) * 1.5 * kDegree;
      p.push(10 * Vec3(std::sin(polar) * std::cos(at),
                       std::sin(polar) * std::sin(at),
                       -std::cos(polar)));
    }
  // The 1045th, at 95 %, of the 1100 points of a sector lies on the 105th ring.
  EXPECT_NEAR(seen_half_angle(p, Vec3::Zero()), 105, 1e-6);
  EXPECT_EQ(seen_half_angle(Points(), Vec3::Zero()), 0);
}

TEST(SeenHalfAngle, TakesOneOrderStatisticOfASector) {
  // Of m points on one ring the k-th in 0.95 m is on it too: sin² of it is k/(m + 1) of the whole.
  Points p, gaps;
  const int each = 200;  // points of a sector
  for (int turn = 0; turn < 24 * each; ++turn) {
    const double at = (turn + 0.5) * 360.0 / (24 * each) * kDegree, polar = 40 * kDegree;
    const Vec3 d(std::sin(polar) * std::cos(at), std::sin(polar) * std::sin(at), -std::cos(polar));
    p.push(10 * d);
    if (turn / each % 12 > 1) gaps.push(10 * d);
  }
  const double k = std::floor(0.95 * each);
  const double sine = std::sin(40 * kDegree) * std::sqrt((each + 1) / k);
  EXPECT_NEAR(seen_half_angle(p, Vec3::Zero()), std::asin(sine) / kDegree, 1e-6);
  // Four of 24 sectors see nothing: so much less is the solid angle, which goes with sin²(θ/2).
  const double half = std::sin(std::asin(sine) / 2) * std::sqrt(20.0 / 24);
  EXPECT_NEAR(seen_half_angle(gaps, Vec3::Zero()), 2 * std::asin(half) / kDegree, 1e-6);
}

TEST(Across, CompletesARightHandedFrame) {
  for (const Vec3& axis : {Vec3(0, 0, -1), Vec3(1, 0, 0), Vec3(0.8, 0.6, 0), Vec3(0.95, 0, 0.31)}) {
    const Vec3 n = axis.normalized();
    const auto [u, v] = across(n);
    Mat3 frame;
    frame << u, v, n;
    EXPECT_NEAR((frame * frame.transpose() - Mat3::Identity()).norm(), 0, 1e-14);
    EXPECT_NEAR(frame.determinant(), 1, 1e-14);
    // As near as may be to X, or to Y where the axis is along X.
    const Vec3 wanted = std::abs(n.x()) < 0.9 ? Vec3::UnitX() : Vec3::UnitY();
    EXPECT_NEAR(u.dot(wanted), std::sqrt(1 - std::pow(n.dot(wanted), 2)), 1e-14);
  }
}

}  // namespace
}  // namespace rigproof
