#pragma once

#include <array>
#include <string>
#include <vector>

#include "geometry/shapes.h"

namespace rigproof {

/// A measuring volume in the sensor frame (+Z away from the rig, +X right, +Y down): the frustum
/// between two rectangles about the Z axis; a box is the frustum with equal rectangles. mm
struct Volume {
  double near_mm = 0, far_mm = 0;
  double near_width = 0, near_height = 0;
  double far_width = 0, far_height = 0;

  static Volume box(double width, double height, double depth, double middle);

  /// −1 … 1 across width (left … right), height (top … bottom) and depth (near … far) at p's depth.
  Vec3 normalized(const Vec3& p) const;
  Vec3 from_normalized(const Vec3& n) const;
  /// Distance by which p lies outside (0 inside). mm
  double outside_by(const Vec3& p) const;
  bool contains(const Vec3& p, double slack_mm = 0) const { return outside_by(p) <= slack_mm; }
  /// The space diagonal L0 of the measuring volume. mm
  double diagonal() const;
  Vec3 middle() const { return {0, 0, 0.5 * (near_mm + far_mm)}; }
  std::array<Vec3, 8> corners() const;
};

/// One of the 27 zones {near, mid, far} × {top, middle, bottom} × {left, centre, right}; ids such
/// as "near-top-left". Points outside count to the nearest zone.
std::string zone_id(const Volume& volume, const Vec3& p);
/// All 27 in the order near…far, top…bottom, left…right.
const std::vector<std::string>& all_zone_ids();
/// Centre of a zone; throws Error(config) for an unknown id.
Vec3 zone_center(const Volume& volume, const std::string& id);

}  // namespace rigproof
