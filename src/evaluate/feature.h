#pragma once

#include <string>
#include <vector>

#include "fit/fit.h"
#include "geometry/region.h"
#include "inputs/artefact.h"
#include "inputs/procedure.h"
#include "locate/sighting.h"

namespace rigproof {

/// The evaluation zone of one ball and the plain fits in it.
struct BallFeature {
  Sphere located;
  SphereFit fit;                  ///< free radius, allowance left out
  SphereFit fit_all;              ///< free radius, nothing left out
  SphereFit fit_fixed;            ///< calibrated radius held; not_run without one
  double form = 0, form_all = 0;  ///< max − min with and without the allowance, mm
  std::optional<double> form_mz;  ///< minimum zone, where asked for
  std::size_t points = 0, left_out = 0, strays = 0;
  Vec3 cap_axis = -Vec3::UnitZ();
  double cap_half_angle_deg = 0;   ///< of the points in the zone about cap_axis
  double seen_half_angle_deg = 0;  ///< of the located surface: how much of the ball the scan holds
  double spacing_mm = 0;
  int rounds = 0;
  bool settled = false;  ///< the set of points repeated
  /// Half the change for cap ± 5°: of the centre (vector), diameter and form. mm
  Vec3 zone_center = Vec3::Zero();
  double zone_size = 0, zone_form = 0;
  Points zone;                    ///< kept for evidence and maps; dropped before the session pass
  std::vector<double> residuals;  ///< of `zone` about `fit`
};

struct PlateFeature {
  PlateSighting located;
  PlaneFit fit, fit_all;
  double flatness = 0, flatness_all = 0;
  std::optional<double> flatness_mz;
  std::size_t points = 0, left_out = 0, strays = 0;
  double length_mm = 0, width_mm = 0;  ///< evaluated area
  double spacing_mm = 0;
  int rounds = 0;
  bool settled = false;
  double zone_flatness = 0;  ///< half the change for border ± 1 mm
  Points zone;
  std::vector<double> residuals;
};

/// What the zone needs to know beside the procedure.
struct ZoneContext {
  std::vector<Vec3> cameras;  ///< empty: directions to the frame origin
  double allowance_ball = 0, allowance_plate = 0;
  bool minimum_zones = false;  ///< also the exact minimum zones (slow for large zones)
};

/// Balls of one scan, evaluated in one gathering pass. `diameters` calibrated (0 unknown), one a
/// ball.
std::vector<BallFeature> evaluate_balls(const Scan& scan,
                                        const std::vector<BallSighting>& balls,
                                        const std::vector<double>& diameters,
                                        const ZoneRules& rules,
                                        const ZoneContext& context);

std::vector<PlateFeature> evaluate_plates(const Scan& scan,
                                          const std::vector<PlateSighting>& plates,
                                          const ZoneRules& rules,
                                          const ZoneContext& context);

/// Every point belongs to one artefact: nothing located, nothing left out (look --whole).
BallFeature whole_ball(const Points& points, const ZoneContext& context);
PlateFeature whole_plate(const Points& points, const ZoneContext& context);

}  // namespace rigproof
