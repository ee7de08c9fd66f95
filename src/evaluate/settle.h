#pragma once

#include "evaluate/cap.h"
#include "evaluate/zone.h"

namespace rigproof {

/// How a ball's zone hangs on a sphere.
struct ZoneMaker {
  const ZoneRules& rules;
  const std::vector<Vec3>& cameras;
  Vec3 seen = -Vec3::UnitZ();      ///< middle of the seen surface
  const Holder* holder = nullptr;  ///< nullptr: none

  BallZone about(const Sphere& sphere) const;
  /// Options that keep a fit's centre behind the surface as seen along the axis of `zone`.
  static SphereFitOptions behind(const BallZone& zone);
};

/// Degrees by which the zone-choice term widens and narrows a cap.
inline constexpr double kCapWidening = 5;

/// Zone and fit repeat until the set of points repeats: the fit of all points of the zone, whose
/// own zone those points are.
struct SettledZone {
  BallZone geometry;
  ZoneCodes codes;  ///< of the gathered points
  Points points;    ///< code `zone` or more
  SphereFit fit;
  int rounds = 0;
  bool settled = false;
};

/// The fixed point is looked for with normal equations that follow the few points that enter and
/// leave the zone (and, for large zones, first on a thinned copy); it is accepted only when the
/// whole fit of the whole set reproduces the set, or sets that differ by a point or two at the edge
/// (a thousandth at most) follow one another in a circle. At most rules.max_rounds whole fits.
SettledZone settle(const Points& gathered, const Sphere& located, const ZoneMaker& maker);

}  // namespace rigproof
