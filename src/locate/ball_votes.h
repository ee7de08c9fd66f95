#pragma once

#include <vector>

#include "geometry/shapes.h"
#include "locate/scene.h"

namespace rigproof {

/// Where a ball may be. Local frame.
struct BallStart {
  Sphere sphere;
  double votes = 0;  ///< cells that agree on it
};

/// Every surface patch votes for the centre of a ball of about `radius`. The radius of a vote is
/// the patch's own where its bend is well known and drawn to `radius` where it is not, so that a
/// rig that measures all balls 15 % wrong still gives one sharp peak. Patches whose bend excludes
/// a ball of this size do not vote: in good data planes fall silent. Strongest first.
std::vector<BallStart> vote_for_radius(const SceneLevel& level,
                                       const std::optional<Vec3>& sensor,
                                       double radius,
                                       double tolerance);

/// The same without a size: patches with a significant bend vote for their own sphere, each
/// half-octave of radii apart, up to `most_edges` cell edges.
std::vector<BallStart> vote_for_any_radius(const SceneLevel& level,
                                           const std::optional<Vec3>& sensor,
                                           double most_edges);

}  // namespace rigproof
