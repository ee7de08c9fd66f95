#pragma once

#include <cstdint>
#include <optional>
#include <utility>
#include <vector>

#include "evaluate/feature.h"

namespace rigproof {

/// A zone as the sensor sees it: a nearly even grid of points across the line of sight, each with
/// its error along it. mm
struct SeenSurface {
  const Points& points;
  const std::vector<double>& residuals;  ///< along the normal
  Vec3 view = -Vec3::UnitZ();            ///< unit, from the surface to the sensor
  std::optional<Vec3> center;            ///< of a ball
  Vec3 normal = -Vec3::UnitZ();          ///< of a plate
  double pitch = 0;                      ///< spacing across the line of sight
  Vec3 u = Vec3::UnitX(), v = Vec3::UnitY();

  /// Cosine between the normal at point i and the line of sight, at least 0.2.
  double cosine(std::size_t i) const;
  double along_view(std::size_t i) const { return residuals[i] / cosine(i); }
  /// Place across the line of sight. mm
  std::pair<double, double> across(std::size_t i) const {
    const Vec3 p = points.local(i);
    return {p.dot(u), p.dot(v)};
  }
};

SeenSurface seen_surface(const BallFeature& ball);
/// The sensor is taken to be at the frame's origin, unless the plate would be seen from behind or
/// from within its own size; then the view is along its normal.
SeenSurface seen_surface(const PlateFeature& plate);

/// Points near each other, in no order: squares of `side` pitches across the line of sight, at most
/// `most` of them spread over the zone, none with fewer than half the points that fit in.
std::vector<std::vector<std::uint32_t>> patches(const SeenSurface& surface,
                                                double side,
                                                std::size_t most);

}  // namespace rigproof
