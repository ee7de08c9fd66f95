#include "optics/stereo_rig.h"

#include <cmath>
#include <numbers>

#include <Eigen/Geometry>

#include "base/error.h"

namespace rigproof {

Mat3 rotation_x(double a) {
  Mat3 m;
  m << 1, 0, 0, 0, std::cos(a), -std::sin(a), 0, std::sin(a), std::cos(a);
  return m;
}

Mat3 rotation_y(double a) {
  Mat3 m;
  m << std::cos(a), 0, std::sin(a), 0, 1, 0, -std::sin(a), 0, std::cos(a);
  return m;
}

Mat3 rotation_z(double a) {
  Mat3 m;
  m << std::cos(a), -std::sin(a), 0, std::sin(a), std::cos(a), 0, 0, 0, 1;
  return m;
}

StereoRig make_stereo_rig(const StereoGeometry& g) {
  if (!(g.baseline_mm > 0) || !(g.focal_px > 0) || g.image_px[0] < 1 || g.image_px[1] < 1)
    throw Error(ErrorKind::config,
                "stereo geometry without baseline, focal length or image size",
                "Give baseline_mm, focal_px and image_px in the rig's [stereo].");
  StereoRig rig;
  for (int i = 0; i < 2; ++i) {
    Camera& c = rig.cameras[i];
    c.focal_px = g.focal_px;
    c.image_px = g.image_px;
    c.principal_px = {(g.image_px[0] - 1) / 2.0, (g.image_px[1] - 1) / 2.0};
    c.distortion = g.distortion;
    const double inward = g.aim_mm > 0 ? std::atan(g.baseline_mm / 2 / g.aim_mm)
                                       : g.toe_in_deg[i] * std::numbers::pi / 180;
    const double side = i == 0 ? -1 : 1;
    c.to_sensor.rotation = rotation_y(-side * inward);
    c.to_sensor.translation = {side * g.baseline_mm / 2, 0, 0};
  }
  rig.projector_mm = g.projector_mm;
  rig.board_alpha_per_K = g.board_alpha_per_K;
  rig.corner_radius = g.corner_radius > 0
                          ? g.corner_radius
                          : std::hypot(g.image_px[0] - 1.0, g.image_px[1] - 1.0) / 2 / g.focal_px;
  return rig;
}

Triangulation triangulate(const Ray& a, const Ray& b) {
  const Vec3 w = b.origin - a.origin;
  const double c = a.direction.dot(b.direction);
  // 1 − c² as a squared sine: for rays a few degrees apart the difference would lose digits.
  const double s2 = a.direction.cross(b.direction).squaredNorm();
  const double wa = w.dot(a.direction), wb = w.dot(b.direction);
  const Vec3 on_a = a.at((wa - c * wb) / s2), on_b = b.at((c * wa - wb) / s2);
  return {0.5 * (on_a + on_b), (on_a - on_b).norm()};
}

Triangulation triangulate(const StereoRig& rig, const Vec2& left_px, const Vec2& right_px) {
  return triangulate(rig.cameras[0].ray(left_px), rig.cameras[1].ray(right_px));
}

double depth_noise(double baseline_mm, double focal_px, double distance_mm, double disparity_px) {
  const double z2 = distance_mm * distance_mm;
  return z2 / (baseline_mm * focal_px) * (1 + baseline_mm * baseline_mm / (4 * z2)) * disparity_px;
}

}  // namespace rigproof
