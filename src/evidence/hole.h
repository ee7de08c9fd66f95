#pragma once

#include <optional>
#include <vector>

#include "evaluate/feature.h"

namespace rigproof {

/// An empty round spot inside the seen side of a ball. Degrees as seen from the ball's centre.
struct Hole {
  double width_deg = 0;
  Vec3 direction = Vec3::Zero();  ///< from the ball's centre
};

/// The largest empty spot about the places that mirror the projector (taken to stand between the
/// cameras) into a camera, where highlights saturate; without cameras about the pole of the seen
/// side. It must be ringed by points and be wide against their spacing.
std::optional<Hole> find_hole(const BallFeature& ball, const std::vector<Vec3>& cameras);

}  // namespace rigproof
