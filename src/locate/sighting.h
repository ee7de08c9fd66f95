// locate: finds balls, bars and plates in clutter. Robust and deterministic; it only says where to
// look, never what a value is, and decides nothing.
// Enters: a Scan and what is expected in it. Leaves: a Sighting (≤ 1 MB).
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "geometry/shapes.h"
#include "scan/scan.h"

namespace rigproof {

struct BallSighting {
  Sphere sphere;                    ///< robust, about 1e-3 r; free radius
  double nominal_mm = 0;            ///< diameter asked for; 0 when searched without one
  std::size_t support = 0;          ///< sample points on it
  double scatter_mm = 0;            ///< robust standard deviation of the supporting residuals
  Vec3 view_axis = -Vec3::UnitZ();  ///< mean direction from the centre towards the seen surface
  double cap_half_angle_deg = 0;    ///< of the seen surface about view_axis
};

struct PlateSighting {
  Plane plane;                                          ///< normal towards the sensor
  Vec3 axis_u = Vec3::UnitX(), axis_v = Vec3::UnitY();  ///< along the longer, shorter side
  double length_mm = 0, width_mm = 0;                   ///< robust extents along u and v
  bool is_nominal = false;                              ///< extents fit a plate that was asked for
  std::size_t support = 0;
  double scatter_mm = 0;
};

struct LocateRequest {
  std::vector<double> ball_diameters_mm;  ///< distinct nominal diameters to look for
  bool unknown_balls = false;             ///< also any sphere of plausible size
  struct Plate {
    double length_mm, width_mm;
  };
  std::vector<Plate> plates;         ///< nominal sizes to look for
  bool unknown_plates = false;       ///< also any large flat region
  double diameter_tolerance = 0.15;  ///< relative; a rig may be badly out and must be found to be
  /// Where the sensor looks from; nullopt: the frame origin when it lies outside the points.
  std::optional<Vec3> sensor;
};

struct Sighting {
  std::vector<BallSighting> balls;    ///< strongest support first; ties by centre coordinates
  std::vector<PlateSighting> plates;  ///< likewise
  /// Spheres of a size that was not asked for, met on the way, or searched for when nothing that
  /// was asked for is there (a file in inches; the small cap that is seen of a wall). Same order.
  std::vector<BallSighting> others;
  /// Best candidates that were not accepted, in words with numbers ("flat surface 812 × 640 mm",
  /// "round surface of radius 2130 mm").
  std::vector<std::string> near_misses;
};

/// Balls of a known size: every surface patch votes for a centre behind it, peaks are refined by an
/// M-estimator with a free radius and checked against their surroundings: how much of the cap lies
/// on the sphere, what stands before or behind it, form beyond the noise, equal curvature both
/// ways. The size counts last, and by diameter_tolerance only. Any size: patches vote for their own
/// sphere at every resolution. Plates: regions grown on normals, sides from the covered area.
/// Accuracy: a centre along the view about scatter·√(24/n)·4 for a 60° cap of n points, worse by 3
/// at 30°; 1e-3 of the radius is usual. Nothing found is an empty list, never an Error.
Sighting locate(const Scan& scan, const LocateRequest& request);

}  // namespace rigproof
