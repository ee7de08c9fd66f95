#pragma once

#include <vector>

#include "fit/moments.h"
#include "geometry/shapes.h"

namespace rigproof {

/// What the shape of a point set allows.
struct SphereShape {
  bool line = true;    ///< on a line or in one point: nothing can be fitted
  bool planar = true;  ///< in one plane
};

/// Starts for the geometric fit, never results: the algebraic sphere about the centroid (its radius
/// is biased, see sphere_start.cpp), its mirror image through the plane of the points, and a sphere
/// on either side of that plane, of the held radius where one is given. Centres in the frame of
/// `Points::local`.
std::vector<Sphere> sphere_starts(const Moments& moments,
                                  const double* fixed_radius,
                                  SphereShape& shape);

}  // namespace rigproof
