#pragma once

#include <optional>
#include <vector>

#include "evaluate/feature.h"

namespace rigproof {

/// Smallest interval that holds ceil(share · n) of the values. 0 for none.
double shortest_interval(std::vector<double> values, double share);

/// Width of the narrowest shell about the centre of `fit` that holds `share` of the points.
double concentric_shell_width(const Points& points, const Sphere& fit, double share);

/// The same with the centre free: the exact minimum zone of the points held so far and the shortest
/// interval about its centre in turn, from the concentric shell downwards. A local minimum, never
/// wider than the concentric one.
double free_shell_width(const Points& points, const Sphere& fit, double share);

double shell_width(const Points& points, const Sphere& fit, double share, ShellRule rule);

/// A cap cut into patches of equal solid angle; azimuth counts from the frame's X axis.
struct CapPatches {
  Vec3 axis = -Vec3::UnitZ();
  double half_angle_deg = 60;
  std::vector<int> rings{1, 8, 16};  ///< patches in each ring, from the middle outwards
};

/// One point for each patch, at the mean direction and mean radius of the points in it. nullopt
/// when a patch is empty.
std::optional<Points> patch_points(const Points& points,
                                   const Sphere& fit,
                                   const CapPatches& patches);
/// The sphere through them; nullopt when a patch is empty or the fit fails.
std::optional<SphereFit> patch_fit(const Points& points,
                                   const Sphere& fit,
                                   const CapPatches& patches);

}  // namespace rigproof
