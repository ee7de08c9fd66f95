// evidence: what the points themselves tell about how they came about: noise and its correlation,
// smoothing, thinning, cut tails, doubled shells, holes, repeats, ripples, bumps, one measurement
// handed in twice. Facts only: what they mean is said by judge/, and nothing here changes a value.
// Enters: evaluated features while their points are in memory, and the scan's sample.
// Leaves: a few kilobytes a scan, so that the session can be looked at as a whole.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "evaluate/feature.h"
#include "evidence/bumps.h"
#include "evidence/fingerprint.h"
#include "evidence/grid_order.h"
#include "evidence/hole.h"
#include "evidence/local_noise.h"
#include "evidence/repeats.h"
#include "evidence/ripple.h"
#include "evidence/tails.h"

namespace rigproof {

/// Facts of one evaluated ball or plate. Lengths in mm, sensor frame.
struct FeatureEvidence {
  bool is_ball = true;
  std::string artefact, ball;
  Vec3 center = Vec3::Zero();
  Vec3 axis = Vec3::Zero();  ///< of a bar, from its first ball to its last; zero without one
  std::size_t points = 0;
  std::size_t strays = 0;     ///< with those of a holder that the zone was cut for
  double holder_deg = 0;      ///< half-angle of the holder's cone that the zone leaves out; 0: none
  bool holder_found = false;  ///< in the points; else it was declared
  double area = 1;            ///< correlation area A of the zone's noise, points
  double scatter = 0;         ///< 68 % of |residual|, form included
  double range = 0;           ///< extent of the feature, for what rounding may leave
  LocalNoise noise;
  Repeats repeats;
  double least_distance = 0;  ///< near the smallest distance of neighbours; 0 unknown
  double spacing = 0;         ///< typical
  double share_astray = 0;    ///< of the points beyond 5 σ of the noise at their place
  TailHistogram tails{};
  std::optional<Hole> hole;
  std::optional<Ripple> ripple;
  std::vector<Bump> bumps;
  int hand = 0;        ///< of the file's grid order, see grid_hand()
  double missing = 0;  ///< share of the zone that is missing in its rows
};

/// Facts of one scan.
struct ScanEvidence {
  std::string scan;
  std::vector<FeatureEvidence> features;
  Fingerprint fingerprint;
};

/// An evaluated ball of a scan, its points in memory.
struct BallSeen {
  const BallFeature& ball;
  std::string artefact, name;
  Vec3 axis = Vec3::Zero();  ///< of the bar that it belongs to, zero for a single ball
};

/// Looks at evaluated features while their points are in memory and adds what is found, to the
/// fingerprint too. `cameras` as in ZoneContext.
void add_balls(ScanEvidence& to,
               const std::vector<BallSeen>& balls,
               const std::vector<Vec3>& cameras);
void add_plate(ScanEvidence& to, const PlateFeature& plate, const std::string& artefact);

/// Coarsest rounding of coordinates in the scan, 0 where it is that of the scalar type. mm
double coordinate_step(const ScanEvidence& scan);

}  // namespace rigproof
