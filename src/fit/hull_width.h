#pragma once

#include <vector>

#include "fit/lattice_hull.h"
#include "geometry/points.h"

namespace rigproof {

/// A direction and the two supporting planes across it.
struct Support {
  Vec3 normal = Vec3::UnitZ();
  double low = 0, high = 0;   ///< normal·q over the points, mm
  std::vector<int> contacts;  ///< four points, by number: a face and a vertex, or two edges
  double width() const { return high - low; }
};

/// Least distance of two parallel planes that hold all vertices of the hull (Houle and Toussaint,
/// IEEE PAMI 10 (1988) 761–765: the planes touch a face and a vertex, or two edges). `q` are the
/// true coordinates of the lattice points, by number; the lattice may be any affine image of them,
/// because which vertices, edges and faces are opposite does not depend on it. Needs a solid hull.
Support hull_width(const LatticeHull& hull, const std::vector<Vec3>& q);

}  // namespace rigproof
