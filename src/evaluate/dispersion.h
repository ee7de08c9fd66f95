#pragma once

#include <vector>

#include "evaluate/enclosure.h"
#include "inputs/procedure.h"

namespace rigproof {

/// Smallest interval that holds ceil(share · n) of the values. 0 for none.
double shortest_interval(std::vector<double> values, double share);

/// The narrowest shell about the centre of `fit` that holds `share` of the points.
Enclosure concentric_shell(const Points& points, const Sphere& fit, double share);

/// The same with the centre free: the exact minimum zone of the points held so far and the shortest
/// interval about its centre in turn, from the concentric shell downwards. A local minimum, never
/// wider than the concentric one.
Enclosure free_shell(const Points& points, const Sphere& fit, double share);

Enclosure shell(const Points& points, const Sphere& fit, double share, ShellRule rule);

/// The narrowest pair of planes parallel to `fit` that holds `share` of the points.
Enclosure parallel_planes(const Points& points, const Plane& fit, double share);

}  // namespace rigproof
