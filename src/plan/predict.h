#pragma once

#include <string>
#include <vector>

#include "diagnose/observation_model.h"
#include "plan/spot.h"

namespace rigproof {

/// What scatter a scan will have, before there is one.
struct ExpectedNoise {
  double sd_mm = 0;       ///< along the view, in the middle of the volume
  double area = 1;        ///< correlation area in points
  double pitch_mm = 0.1;  ///< of the points across the view, in the middle of the volume
  double middle_mm = 0;   ///< distance of that middle; the scatter grows with its square
  bool assumed = false;   ///< no [noise] of the rig: 0.02 px of disparity, 25 px², common practice
};
/// From the rig's own [noise] where it has one. Without stereo geometry 2,000 points across the
/// field and a scatter of 1/50,000 of the distance are assumed. `pitch_px`: every so many pixels
/// give a point.
ExpectedNoise expected_noise(const Rig& rig, const Field& field, double pitch_px = 1);

/// A scan of one spot as a diagnosis would see it, with the scatter that is expected and no error.
struct ExpectedScan {
  std::vector<ObservedBall> balls;
  std::vector<ObservedPlate> plates;
};
ExpectedScan expected_scan(const Spot& spot,
                           const std::string& scan,
                           const PlacingRules& rules,
                           const ExpectedNoise& noise);

/// All scans of a plan in their order. `seed` fixes the scatter of the plates' patches, from which
/// a diagnosis learns how noisy the session is.
Observations expected_observations(const std::vector<Spot>& order,
                                   const PlacingRules& rules,
                                   const ExpectedNoise& noise,
                                   const Session& session);

}  // namespace rigproof
