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
/// is biased, see method notes in sphere_start.cpp) and its mirror image through the plane of the
/// points; with a held radius the two spheres of that size whose mean square distance fits.
/// Centres in the frame of `Points::local`.
std::vector<Sphere> sphere_starts(const Moments& moments,
                                  const double* fixed_radius,
                                  SphereShape& shape);

}  // namespace rigproof
