#include "geometry/region.h"

#include <cmath>
#include <numbers>

namespace rigproof {

bool ShellRegion::contains(const Vec3& p) const {
  const Vec3 d = p - center;
  const double r2 = d.squaredNorm();
  if (r2 < inner_mm * inner_mm || r2 > outer_mm * outer_mm) return false;
  if (half_angle_deg >= 180) return true;
  return d.dot(axis) >= std::cos(half_angle_deg * std::numbers::pi / 180) * std::sqrt(r2);
}

Box ShellRegion::box() const {
  Box b;
  b.lo = center - Vec3::Constant(outer_mm);
  b.hi = center + Vec3::Constant(outer_mm);
  if (half_angle_deg >= 90) return b;
  // A cap of less than a hemisphere: per coordinate the farthest direction within the cone, and the
  // inner sphere where the cone does not turn towards that side at all.
  const double cap = half_angle_deg * std::numbers::pi / 180;
  for (int i = 0; i < 3; ++i) {
    const double tilt = std::acos(std::clamp(axis[i], -1.0, 1.0));
    const double most = std::cos(std::max(0.0, tilt - cap));
    const double least = std::cos(std::min(std::numbers::pi, tilt + cap));
    b.hi[i] = center[i] + (most > 0 ? outer_mm : inner_mm) * most;
    b.lo[i] = center[i] + (least < 0 ? outer_mm : inner_mm) * least;
  }
  return b;
}

bool SlabRegion::contains(const Vec3& p) const {
  const Vec3 d = p - plane.point;
  return std::abs(plane.normal.dot(d)) <= gate_mm && std::abs(axis_u.dot(d)) <= half_u_mm &&
         std::abs(axis_v.dot(d)) <= half_v_mm;
}

Box SlabRegion::box() const {
  const Vec3 half = half_u_mm * axis_u.cwiseAbs() + half_v_mm * axis_v.cwiseAbs() +
                    gate_mm * plane.normal.cwiseAbs();
  return {plane.point - half, plane.point + half};
}

bool contains(const Region& region, const Vec3& p) {
  return std::visit([&](const auto& r) { return r.contains(p); }, region);
}

Box bounding_box(const Region& region) {
  if (const auto* box = std::get_if<Box>(&region)) return *box;
  if (const auto* shell = std::get_if<ShellRegion>(&region)) return shell->box();
  return std::get<SlabRegion>(region).box();
}

}  // namespace rigproof
