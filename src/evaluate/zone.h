#pragma once

#include "evaluate/selection.h"
#include "geometry/shapes.h"

namespace rigproof {

/// Geometry of one ball's zone about a fitted sphere.
struct BallZone {
  Sphere sphere;
  double gate_mm = 0, stray_mm = 0;  ///< |radial deviation|
  Vec3 axis = -Vec3::UnitZ();        ///< of the cap, unit
  double half_angle_deg = 60, widening_deg = 5;
  Vec3 holder_axis = Vec3::UnitY();  ///< unit
  double holder_half_angle_deg = 0;  ///< 0: no holder
};
void classify(const Points& points, const BallZone& zone, ZoneCodes& codes);

/// Geometry of one plate's zone about a fitted plane: a rectangle about `center` in the directions
/// u and v, which need not lie exactly in the plane.
struct PlateZone {
  Plane plane;
  double gate_mm = 0, stray_mm = 0;
  Vec3 center = Vec3::Zero(), u = Vec3::UnitX(), v = Vec3::UnitY();
  double half_u_mm = 0, half_v_mm = 0, widening_mm = 1;
};
void classify(const Points& points, const PlateZone& zone, ZoneCodes& codes);

}  // namespace rigproof
