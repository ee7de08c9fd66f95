#pragma once

#include "geometry/points.h"
#include "geometry/shapes.h"

namespace rigproof {

/// The rectangle that holds a flat set of points.
struct PlateExtent {
  Vec3 middle = Vec3::Zero();
  Vec3 axis_u = Vec3::UnitX(), axis_v = Vec3::UnitY();  ///< along the longer, shorter side
  double length_mm = 0, width_mm = 0;
};

/// The turn of smallest area, sides from the quantiles 2 % and 98 % of the covered area in
/// directions u and v (divided by 0.96, as for even cover): strays, a torn rim and uneven density
/// do not move them. `spacing` is the edge of the raster that tells covered area, mm.
PlateExtent plate_extent(const Points& points, const Plane& plane, double spacing);

}  // namespace rigproof
