#include "optics/camera.h"

#include <cmath>

#include <gtest/gtest.h>

#include "base/error.h"
#include "optics/sensitivity.h"

namespace rigproof {
namespace {

StereoGeometry geometry() {
  StereoGeometry g;
  g.baseline_mm = 300;
  g.focal_px = 3500;
  g.image_px = {2448, 2048};
  g.aim_mm = 600;
  g.distortion = {-0.12, 0.08, -0.01, 3e-4, -2e-4};
  return g;
}

TEST(Camera, RaysLeadBackToTheirPixels) {
  const StereoRig rig = make_stereo_rig(geometry());
  for (Camera c : rig.cameras)
    for (const double residual : {0.0, 0.01, -0.01}) {
      c.residual_radial = residual;
      for (const double u : {0.0, 700.0, 1223.5, 2447.0})
        for (const double v : {0.0, 1023.5, 2047.0}) {
          const Ray ray = c.ray({u, v});
          EXPECT_NEAR(ray.direction.norm(), 1, 1e-15);
          const auto px = c.project(ray.at(500));
          ASSERT_TRUE(px);
          EXPECT_NEAR(px->x(), u, 1e-9);
          EXPECT_NEAR(px->y(), v, 1e-9);
        }
    }
}

TEST(Camera, SeesNothingBehindItself) {
  const StereoRig rig = make_stereo_rig(geometry());
  EXPECT_FALSE(rig.cameras[0].project({0, 0, -600}));
  EXPECT_TRUE(rig.cameras[0].project({0, 0, 600}));
}

// Closed form: without distortion the corner pixel of an untilted camera is f·X/Z from the middle.
TEST(Camera, FollowsThePinholeRule) {
  StereoGeometry g = geometry();
  g.aim_mm = 0;
  g.distortion = {};
  const Camera c = make_stereo_rig(g).cameras[0];
  const auto px = c.project({-150 + 60, -40, 700});
  ASSERT_TRUE(px);
  EXPECT_NEAR(px->x(), 1223.5 + 3500 * 60.0 / 700, 1e-9);
  EXPECT_NEAR(px->y(), 1023.5 - 3500 * 40.0 / 700, 1e-9);
}

TEST(StereoRig, AimsBothCamerasAtOnePoint) {
  const StereoRig rig = make_stereo_rig(geometry());
  const Vec3 target(0, 0, 600);
  for (const Camera& c : rig.cameras)
    EXPECT_LT(((target - c.center()).normalized() - c.axis()).norm(), 1e-14);
  EXPECT_DOUBLE_EQ(rig.baseline(), 300);
  StereoGeometry g = geometry();
  g.aim_mm = 0;
  g.toe_in_deg = {14.036243467926479, 14.036243467926479};
  EXPECT_LT((make_stereo_rig(g).cameras[1].axis() - rig.cameras[1].axis()).norm(), 1e-14);
}

TEST(StereoRig, RefusesAnImpossibleGeometry) {
  StereoGeometry g = geometry();
  g.baseline_mm = 0;
  EXPECT_THROW(make_stereo_rig(g), Error);
}

TEST(Triangulation, FindsThePointAndTheGap) {
  const Ray a{{0, 0, 0}, Vec3(0, 0, 1)}, b{{100, 2, 500}, Vec3(-1, 0, 0)};
  const Triangulation t = triangulate(a, b);
  EXPECT_LT((t.point - Vec3(0, 1, 500)).norm(), 1e-12);
  EXPECT_NEAR(t.gap_mm, 2, 1e-12);
}

// σ_Z = Z²/(B·f)·(1 + B²/4Z²)·σ_disparity against a finite difference of the triangulation.
TEST(Triangulation, DepthNoiseFollowsItsFormula) {
  StereoGeometry g = geometry();
  g.distortion = {};
  const StereoRig rig = make_stereo_rig(g);
  const Vec2 middle = rig.cameras[0].principal_px;
  const double h = 0.02;
  const double up = triangulate(rig, middle, middle + Vec2(h, 0)).point.z();
  const double down = triangulate(rig, middle, middle - Vec2(h, 0)).point.z();
  EXPECT_NEAR(std::abs(up - down) / 2, depth_noise(300, 3500, 600, h), 1e-7);
}

TEST(CalibrationFault, LocalDentsAndUnknownNames) {
  const StereoRig rig = make_stereo_rig(geometry());
  const Volume volume = Volume::box(300, 200, 150, 600);
  const CalibrationFault dent{"local", 40, "far-top-left"};
  const DisplacementField field(rig, believe(rig, {&dent, 1}, &volume));
  EXPECT_NEAR(field.at(zone_center(volume, "far-top-left")).norm(), 0.040, 1e-9);
  EXPECT_LT(field.at(zone_center(volume, "near-bottom-right")).norm(), 0.001);
  EXPECT_THROW(believe(rig, {&dent, 1}), Error);
  const CalibrationFault odd{"wobble", 1, ""};
  EXPECT_THROW(believe(rig, {&odd, 1}), Error);
}

// A board 5 K warmer than believed makes every length short by α·5 K.
TEST(CalibrationFault, WarmBoardShortensLengths) {
  StereoGeometry g = geometry();
  g.board_alpha_per_K = 8.5e-6;
  const StereoRig rig = make_stereo_rig(g);
  const CalibrationFault warm{"board-temperature", 5, ""};
  const DisplacementField field(rig, believe(rig, {&warm, 1}));
  EXPECT_NEAR(length_change(field, {-100, 0, 600}, {150, 20, 640}) /
                  (Vec3(-100, 0, 600) - Vec3(150, 20, 640)).norm(),
              -42.5e-6,
              1e-9);
}

TEST(Sensitivity, ScaleFaultGrowsBallsAndLeavesPlatesFlat) {
  const StereoRig rig = make_stereo_rig(geometry());
  const CalibrationFault fault{"baseline", 100, ""};
  const DisplacementField field(rig, believe(rig, {&fault, 1}));
  const Sphere ball{{40, -30, 620}, 15};
  const BallChange c = ball_change(field, ball, -ball.center.normalized());
  EXPECT_NEAR(c.diameter, 30 * 1e-4, 1e-8);
  EXPECT_LT((c.center - 1e-4 * ball.center).norm(), 1e-8);
  EXPECT_LT(c.form, 1e-8);
  for (const double z :
       plate_shape(field, {{0, 0, 600}, -Vec3::UnitZ()}, Vec3::UnitX(), Vec3::UnitY(), 200, 150))
    EXPECT_NEAR(z, 0, 1e-8);
}

// Closed form: with the pattern projected from between the cameras, a matcher that follows one
// column along a pitched epipolar line takes its depth from two places of the surface, so that the
// surface z = z0 + k y is measured too deep by half the vertical mismatch times k.
TEST(Match, EpipolarSearchTurnsPitchIntoDepth) {
  StereoGeometry g = geometry();
  g.distortion = {};
  g.aim_mm = 0;
  const StereoRig rig = make_stereo_rig(g);
  const CalibrationFault pitch{"pitch", 100, ""};
  const Belief belief = believe(rig, {&pitch, 1});
  const double k = 0.5;
  const Vec3 normal = Vec3(0, k, -1).normalized();
  const Vec3 p(0, 0, 600);
  const DisplacementField searched(rig, belief, Matching::epipolar);
  const DisplacementField free(rig, belief, Matching::free_match);
  const double mismatch = 100e-6 * 600;
  EXPECT_NEAR(std::abs(searched.measure(p, normal).point.z() - 600), k * mismatch / 2, 2e-4);
  EXPECT_LT(searched.measure(p, normal).gap_mm, 1e-6);
  EXPECT_NEAR(free.measure(p, normal).point.z(), 600, 1e-4);
  EXPECT_NEAR(free.measure(p, normal).gap_mm, mismatch, 1e-3);
  // A surface without slope hides it from both.
  EXPECT_NEAR(searched.measure(p, -Vec3::UnitZ()).point.z(), 600, 1e-4);
}

TEST(Sensitivity, UnitFieldsAreDerivatives) {
  const StereoRig rig = make_stereo_rig(geometry());
  const Volume volume = Volume::box(300, 200, 150, 600);
  const std::vector<Vec3> points{{-120, 60, 540}, {10, -80, 660}};
  for (const CalibrationFaultKind& kind : calibration_fault_kinds()) {
    const CalibrationFault f{std::string(kind.id), 3 * kind.unit_step, "mid-middle-centre"};
    const DisplacementField field(rig, believe(rig, {&f, 1}, &volume));
    const std::vector<Vec3> unit = unit_field(rig, f, points, &volume);
    for (std::size_t i = 0; i < points.size(); ++i)
      EXPECT_LT((field.at(points[i]) - f.value * unit[i]).norm(),
                1e-5 + 1e-3 * field.at(points[i]).norm())
          << kind.id;
  }
}

}  // namespace
}  // namespace rigproof
