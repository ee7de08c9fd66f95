#pragma once

#include <optional>
#include <string>
#include <vector>

#include "fit/fit.h"

namespace rigproof {

/// Two concentric spheres or two parallel planes that hold points of a zone, and the points that
/// they rest on: with these a form can be computed again by hand.
struct Enclosure {
  std::string name;  ///< concentric_shell | free_shell | parallel_planes | minimum_zone[_all]
  bool sphere = true;
  Vec3 center = Vec3::Zero();  ///< of the spheres, or a point that distances of planes count from
  Vec3 normal = Vec3::Zero();  ///< of the planes
  double low = 0, high = 0;    ///< radii, or distances from `center` along `normal`. mm
  double width = 0;            ///< high − low. mm
  /// Of `points` sorted by distance the spheres or planes pass through number below + 1 and
  /// below + held.
  std::size_t points = 0, held = 0, below = 0;
  std::vector<Vec3> low_points, high_points;  ///< that they rest on, at most five together
};

/// The enclosure of that name; nullptr without one. Its width, if there is one.
const Enclosure* find_enclosure(const std::vector<Enclosure>& all, const std::string& name);
std::optional<double> width_of(const std::vector<Enclosure>& all, const std::string& name);

/// Minimum zones in that form. `left_out` points of the zone are not among the given ones.
Enclosure minimum_zone_of(const Points& points, const Sphere& start, std::size_t left_out);
Enclosure minimum_zone_of(const Points& points, std::size_t left_out);

}  // namespace rigproof
