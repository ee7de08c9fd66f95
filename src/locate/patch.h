#pragma once

#include <vector>

#include "locate/cell_grid.h"

namespace rigproof {

/// Surface patch about one cell, from the moments of its 3×3×3 neighbourhood. Frame: local. The
/// normal's sign is arbitrary.
struct Patch {
  Vec3 mean = Vec3::Zero();
  Vec3 normal = Vec3::UnitZ();
  double n = 0;       ///< points; 0: no surface here
  double spread = 0;  ///< mean square distance from the mean within the patch plane, mm²
  double noise = 0;   ///< standard deviation across the surface, its curvature taken out, mm
  /// Local sphere through the patch: its centre lies at mean + normal·(1/(2·bend)).
  double bend = 0, u_bend = 0;  ///< and its standard deviation, 1/mm

  bool valid() const { return n > 0; }
  double curvature() const { return 2 * bend; }  ///< signed, positive towards +normal; 1/mm
};

/// A patch for every cell of the grid.
///
/// In the patch frame (z along the normal, from principal axes) the points of a sphere obey
/// |q|² = 2 c·q + const exactly. With w = |q|² less its regression on the in-plane coordinates,
/// bend = cov(z, w)/var(w) = 1/(2 c_z): exact for exact data, and, because noise stands in z alone,
/// free of the bias of an algebraic fit. var(z) − cov²/var(w) is the noise.
std::vector<Patch> make_patches(const CellGrid& grid, int threads);

}  // namespace rigproof
