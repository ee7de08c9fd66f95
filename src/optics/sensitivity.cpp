#include "optics/sensitivity.h"

#include <cmath>
#include <numbers>

#include <Eigen/Geometry>

#include "base/error.h"
#include "fit/fit.h"

namespace rigproof {
namespace {

constexpr int kRings = 12, kSpokes = 24;

Points about(const Vec3& origin) {
  Points p;
  p.origin = origin;
  return p;
}

}  // namespace

Triangulation DisplacementField::measure(const Vec3& p) const {
  const auto left = truth_.cameras[0].project(p), right = truth_.cameras[1].project(p);
  if (!left || !right) return {p, 0};
  Triangulation t = triangulate(belief_.rig, *left, *right);
  t.point = belief_.dented(t.point);
  return t;
}

Triangulation DisplacementField::measure(const Vec3& p, const Vec3& normal) const {
  const auto left = truth_.cameras[0].project(p);
  if (!left) return {p, 0};
  const Match match(truth_, belief_, matching_, false, *left, p, normal);
  return match.ok() ? match.triangulated() : Triangulation{p, 0};
}

std::vector<Vec3> unit_field(const StereoRig& truth,
                             const CalibrationFault& fault,
                             std::span<const Vec3> points,
                             const Volume* volume) {
  const CalibrationFaultKind* kind = find_calibration_fault(fault.id);
  if (!kind) throw Error(ErrorKind::usage, "unknown calibration fault \"" + fault.id + "\"");
  CalibrationFault up = fault, down = fault;
  up.value = kind->unit_step;
  down.value = -kind->unit_step;
  const DisplacementField plus(truth, believe(truth, {&up, 1}, volume));
  const DisplacementField minus(truth, believe(truth, {&down, 1}, volume));
  std::vector<Vec3> out;
  out.reserve(points.size());
  for (const Vec3& p : points) out.push_back((plus.at(p) - minus.at(p)) / (2 * kind->unit_step));
  return out;
}

double length_change(const DisplacementField& field, const Vec3& a, const Vec3& b) {
  return (field.measure(b).point - field.measure(a).point).norm() - (b - a).norm();
}

BallChange ball_change(const DisplacementField& field,
                       const Sphere& ball,
                       const Vec3& axis,
                       double half_angle_deg) {
  const Vec3 u = axis.unitOrthogonal(), v = axis.cross(u);
  const double edge = std::sin(half_angle_deg * std::numbers::pi / 180);
  Points seen = about(ball.center);
  for (int i = 0; i < kRings; ++i) {
    // Rings of equal area in projection.
    const double s = edge * std::sqrt((i + 0.5) / kRings);
    for (int j = 0; j < kSpokes; ++j) {
      const double phi = 2 * std::numbers::pi * (j + 0.5 * (i % 2)) / kSpokes;
      const Vec3 n = s * std::cos(phi) * u + s * std::sin(phi) * v + std::sqrt(1 - s * s) * axis;
      seen.push(field.measure(ball.center + ball.radius * n, n).point);
    }
  }
  const SphereFit fit = fit_sphere_from(seen, ball);
  return {fit.sphere.center - ball.center,
          2 * (fit.sphere.radius - ball.radius),
          fit.residuals.range()};
}

std::vector<double> plate_shape(const DisplacementField& field,
                                const Plane& plate,
                                const Vec3& axis_u,
                                const Vec3& axis_v,
                                double length_mm,
                                double width_mm,
                                int nu,
                                int nv) {
  Points seen = about(plate.point);
  for (int j = 0; j < nv; ++j)
    for (int i = 0; i < nu; ++i) {
      const double s = ((i + 0.5) / nu - 0.5) * length_mm, t = ((j + 0.5) / nv - 0.5) * width_mm;
      seen.push(field.measure(plate.point + s * axis_u + t * axis_v, plate.normal).point);
    }
  return plane_residuals(seen, fit_plane(seen, Vec3(plate.point + plate.normal)).plane);
}

}  // namespace rigproof
