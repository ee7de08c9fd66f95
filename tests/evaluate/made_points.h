#pragma once

#include <cmath>
#include <functional>
#include <numbers>
#include <utility>
#include <vector>

#include <Eigen/Geometry>

#include "evaluate/cap.h"
#include "evaluate/feature.h"
#include "evaluate/random.h"
#include "scan/scan.h"

namespace rigproof::made {

/// A cap as a camera sees it: a square grid of pitch `pitch` across `axis`, moved along the view
/// onto the sphere, out to `half_angle_deg`. `off(i)` moves point i outwards. mm
inline Points cap(const Sphere& s,
                  const Vec3& axis,
                  double half_angle_deg,
                  double pitch,
                  const std::function<double(std::size_t)>& off = {}) {
  Points p;
  p.origin = s.center + 0.5 * s.radius * axis;
  const auto [u, v] = across(axis);
  const double edge = s.radius * std::sin(half_angle_deg * std::numbers::pi / 180);
  const int n = static_cast<int>(edge / pitch) + 1;
  for (int i = -n; i <= n; ++i)
    for (int j = -n; j <= n; ++j) {
      const double a = (i + 0.31) * pitch, b = (j + 0.17) * pitch;
      if (std::hypot(a, b) > edge) continue;
      const Vec3 d =
          (a * u + b * v + std::sqrt(s.radius * s.radius - a * a - b * b) * axis) / s.radius;
      p.push(s.center + d * (s.radius + (off ? off(p.size()) : 0)));
    }
  return p;
}

/// A rectangle of `length` × `width` about `center` in the directions u, v, on a square grid.
inline Points plate(const Vec3& center,
                    const Vec3& u,
                    const Vec3& v,
                    double length,
                    double width,
                    double pitch,
                    const std::function<double(double, double)>& off = {}) {
  Points p;
  p.origin = center;
  const Vec3 w = u.cross(v);
  const int nu = static_cast<int>(length / pitch), nv = static_cast<int>(width / pitch);
  for (int i = 0; i <= nu; ++i)
    for (int j = 0; j <= nv; ++j) {
      const double a = length * (static_cast<double>(i) / nu - 0.5);
      const double b = width * (static_cast<double>(j) / nv - 0.5);
      p.push(center + a * u + b * v + (off ? off(a, b) : 0) * w);
    }
  return p;
}

inline std::function<double(std::size_t)> noise(double sd, std::uint64_t seed) {
  return [random = Random(seed, 0), sd](std::size_t) mutable { return sd * random.normal(); };
}

inline BallSighting sighting(const Sphere& s, const Vec3& axis) {
  BallSighting b;
  b.sphere = {s.center + Vec3(2e-4, -3e-4, 5e-4) * s.radius, s.radius * (1 + 6e-4)};
  b.view_axis = axis;
  b.cap_half_angle_deg = 75;
  return b;
}

inline PlateSighting plate_sighting(
    const Vec3& center, const Vec3& u, const Vec3& v, double length, double width) {
  PlateSighting p;
  p.axis_u = u;
  p.axis_v = v;
  p.plane = {center + 1.5 * u - 0.8 * v, u.cross(v)};
  if (p.plane.normal.dot(center) > 0) p.plane.normal *= -1;
  p.length_mm = length;
  p.width_mm = width;
  return p;
}

inline Points moved(const Points& p, const RigidTransform& t) {
  Points out;
  out.origin = t * p.origin;
  for (std::size_t i = 0; i < p.size(); ++i) {
    const Vec3 q = t.rotation * p.local(i);
    out.push_local(q.x(), q.y(), q.z());
  }
  return out;
}

inline Points shuffled(const Points& p, std::uint64_t seed) {
  std::vector<std::size_t> order(p.size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
  Random random(seed, 1);
  for (std::size_t i = order.size(); i > 1; --i) std::swap(order[i - 1], order[random.bits() % i]);
  Points out;
  out.origin = p.origin;
  for (const std::size_t i : order) out.push_local(p.x[i], p.y[i], p.z[i]);
  return out;
}

inline void append(Points& to, const Points& more) {
  for (std::size_t i = 0; i < more.size(); ++i) to.push(more.at(i));
}

inline RigidTransform some_motion() {
  return {(Eigen::AngleAxisd(0.7, Vec3(1, -2, 0.5).normalized()) *
           Eigen::AngleAxisd(-1.1, Vec3(0.2, 0.3, 1).normalized()))
              .toRotationMatrix(),
          Vec3(123.4, -56.7, 89.1)};
}

inline BallFeature ball(const Points& points,
                        const BallSighting& where,
                        double diameter,
                        const ZoneContext& context,
                        const ZoneRules& rules = {}) {
  return evaluate_balls(Scan::from_points(points, "made"), {where}, {diameter}, rules, context)
      .at(0);
}

inline PlateFeature plate_feature(const Points& points,
                                  const PlateSighting& where,
                                  const ZoneContext& context,
                                  const ZoneRules& rules = {}) {
  return evaluate_plates(Scan::from_points(points, "made"), {where}, rules, context).at(0);
}

}  // namespace rigproof::made
