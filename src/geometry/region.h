#pragma once

#include <variant>

#include "geometry/shapes.h"

namespace rigproof {

/// Between two concentric spheres, within `half_angle_deg` of `axis` (180: the whole shell).
struct ShellRegion {
  Vec3 center = Vec3::Zero();
  double inner_mm = 0, outer_mm = 0;
  Vec3 axis = -Vec3::UnitZ();
  double half_angle_deg = 180;

  bool contains(const Vec3& p) const;
  Box box() const;
};

/// Within `gate_mm` of a plane and inside the rectangle |u| ≤ half_u, |v| ≤ half_v about its point.
struct SlabRegion {
  Plane plane;
  Vec3 axis_u = Vec3::UnitX(), axis_v = Vec3::UnitY();  ///< unit, orthogonal, in the plane
  double half_u_mm = 0, half_v_mm = 0, gate_mm = 0;

  bool contains(const Vec3& p) const;
  Box box() const;
};

/// What scan/ can gather at full resolution. Membership is decided in double.
using Region = std::variant<ShellRegion, SlabRegion, Box>;

bool contains(const Region& region, const Vec3& p);
Box bounding_box(const Region& region);

}  // namespace rigproof
