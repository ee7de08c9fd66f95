#pragma once

#include <vector>

#include "geometry/shapes.h"
#include "locate/scene.h"

namespace rigproof {

/// Connected cells that lie in one plane. Local frame.
struct FlatRegion {
  Plane plane;       ///< least squares over the cells' points
  double noise = 0;  ///< median of its patches, mm
  std::vector<std::uint32_t> cells;
};

/// Region growing on normals from the flattest patches outwards. A neighbour joins when its normal
/// agrees and its own points stand on the running plane, so that a plate 5 mm above a table, or
/// the next step of a stair, is another region. `taken` cells (one flag a cell) are left out.
/// A curved surface falls into several (smooth_bodies.h tells). Largest first.
std::vector<FlatRegion> grow_flat_regions(const SceneLevel& level, const std::vector<char>& taken);

/// Joins regions of one plane that lie within `reach` of each other, in fractions of their size:
/// a cable across a plate must not cut it in two.
std::vector<FlatRegion> join_coplanar(const SceneLevel& level,
                                      std::vector<FlatRegion> regions,
                                      double reach);

}  // namespace rigproof
