#pragma once

#include <array>
#include <optional>
#include <vector>

#include "evaluate/feature.h"

namespace rigproof {

/// Smallest interval that holds ceil(share · n) of the values. 0 for none.
double shortest_interval(std::vector<double> values, double share);

/// Width of the narrowest spherical shell that holds `share` of the zone's points, its centre free:
/// the exact minimum zone of the points held so far and the shortest interval about its centre in
/// turn, from the concentric shell downwards. A local minimum, never wider than the concentric one.
double free_shell_width(const BallFeature& ball, double share);

/// One point for each of 25 patches of equal solid angle (1 + 8 + 16 in three rings of the cap), at
/// the mean direction and mean radius of the zone's points in it; azimuth counts from the frame's X
/// axis. nullopt when a patch is empty.
std::optional<Points> patch_points(const BallFeature& ball, double cap_half_angle_deg);

}  // namespace rigproof
