#pragma once

#include <cstddef>

#include "geometry/points.h"

namespace rigproof {

/// Moments of a point set about its centroid, in the frame of `Points::local`.
struct Moments {
  std::size_t n = 0;
  Vec3 centroid = Vec3::Zero();  ///< local, mm
  Mat3 scatter = Mat3::Zero();   ///< Σ q qᵀ with q = p − centroid, mm²
  Vec3 third = Vec3::Zero();     ///< Σ |q|² q, mm³

  /// Root mean square distance from the centroid. mm
  double spread() const;
};

/// One pass about a near centre, then moved to the centroid, so that nothing cancels far from the
/// origin. Result independent of `threads` (0: default).
Moments moments(const Points& points, int threads = 0);

/// Plain loops over the same definition, for comparison.
Moments moments_serial(const Points& points);

}  // namespace rigproof
