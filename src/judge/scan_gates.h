#pragma once

#include <optional>
#include <string>
#include <vector>

#include "evaluate/feature.h"
#include "evaluate/test_value.h"
#include "inputs/session.h"
#include "judge/finding.h"
#include "locate/recognise.h"

// Gates of one scan: what file, recognition and features tell becomes findings. `scan` is the file
// relative to the session everywhere.

namespace rigproof {

/// points-dropped, surplus, scaled, rig-mismatch, far-origin. `zone_dropped_share`: share of the
/// evaluation zone whose points are not numbers, where an organised file tells it.
std::vector<Finding> file_findings(const ScanFacts& facts,
                                   const Rig& rig,
                                   const std::string& scan,
                                   std::optional<double> zone_dropped_share = std::nullopt);
/// Serial in a header's comments ("serial: R12-0044", "Serial No = …"); "" without one.
std::string serial_in(const std::vector<std::string>& comments);

/// one-ball, ambiguous, nothing-found, balls-swapped.
std::vector<Finding> recognition_findings(const Recognition& recognition,
                                          const Sighting& sighting,
                                          const std::string& scan);

/// Where no artefact was found: unit-mismatch for a sphere, a distance of balls of unknown size or
/// the sides of a plate that are off by the factor of a unit; giant-sphere when the best one is far
/// too large. nullopt: nothing that explains it.
std::optional<Finding> what_else_was_seen(const Sighting& sighting,
                                          const std::vector<Artefact>& artefacts,
                                          double unit_mm,
                                          const std::string& scan);

/// fit-failed of what a fit ended without.
Finding fit_failed(const std::string& what, FitStop stop, const std::string& scan);

/// What a ball of an artefact is judged by.
struct BallGate {
  std::string ball;                ///< id
  double nominal_mm = 0;           ///< calibrated diameter, 0 unknown
  double unit_mm = 1;              ///< the file was read in
  const Volume* volume = nullptr;  ///< nullptr: unknown
};
/// fit-failed, giant-sphere, unit-mismatch, too-few-points, short-cap by angle, zone-unsettled,
/// outside-volume.
std::vector<Finding> ball_findings(const BallFeature& ball,
                                   const BallGate& gate,
                                   const Procedure& procedure,
                                   const std::string& scan);
/// unit-mismatch of any size, e.g. a bar's length; nullopt when no known factor fits.
std::optional<Finding> unit_mismatch(const std::string& what,
                                     double measured_mm,
                                     double nominal_mm,
                                     double unit_mm,
                                     const std::string& scan,
                                     double within = 0.02);

/// fit-failed, too-few-points, strip-plate, zone-unsettled, outside-volume.
std::vector<Finding> plate_findings(const PlateFeature& plate,
                                    const Artefact& artefact,
                                    const Volume* volume,
                                    const Procedure& procedure,
                                    const std::string& scan);

/// u_fit above the procedure's share of the limit stops the scan: short-cap where less than the cap
/// was seen (`seen_deg`, 0 for plates), else fit-uncertain. `severity` warn: only the value is left
/// out.
std::optional<Finding> repeatability_finding(const TestValue& value,
                                             double limit,
                                             double seen_deg,
                                             const Procedure& procedure,
                                             Severity severity = Severity::stop);

/// How far the evaluated cap (its pole and two rims) or rectangle reaches out of the volume. mm
double outside_by(const BallFeature& ball, double cap_half_angle_deg, const Volume& volume);
double outside_by(const PlateFeature& plate, const Volume& volume);

/// How many times less certain the centre is along the view than with a cap of `full_deg` sampled
/// at the same density as an image: u²(z) = σ²/(n (q − m²)), n ∝ S, method section 1.
double cap_uncertainty_factor(double seen_deg, double full_deg);

}  // namespace rigproof
