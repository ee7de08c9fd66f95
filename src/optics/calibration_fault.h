#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "geometry/volume.h"
#include "optics/stereo_rig.h"

namespace rigproof {

/// How the calibration that a rig believes differs from what the rig is; a positive value changes
/// the belief as calibration_fault_kinds() says. Right and left, high and low are as seen from
/// behind the rig: principal-y counts upwards, against the rows.
struct CalibrationFault {
  std::string id;    ///< one of calibration_fault_kinds()
  double value = 0;  ///< in the kind's unit
  std::string zone;  ///< of `local`: a zone id
};

struct CalibrationFaultKind {
  std::string_view id;
  std::string_view unit;     ///< ppm, K, px, urad, um
  double unit_step;          ///< a small value for finite differences, in the unit
  std::string_view meaning;  ///< of a positive value
};
/// board-pitch, board-temperature, baseline, focal-both, focal-left, focal-right,
/// principal-x-left, principal-x-right, principal-y-right, toe-in, pitch, roll, radial-both,
/// radial-left, radial-right, local.
const std::vector<CalibrationFaultKind>& calibration_fault_kinds();
/// nullptr for an unknown id.
const CalibrationFaultKind* find_calibration_fault(std::string_view id);

/// A dent in the calibrated field: points within it are displaced along the line of sight of the
/// rig's origin by height·exp(−d²/2w²). mm
struct Dent {
  Vec3 center = Vec3::Zero();
  double width_mm = 0, height_mm = 0;

  Vec3 displacement(const Vec3& p) const;
};

/// What a rig believes of itself: the calibration that triangulates its points.
struct Belief {
  StereoRig rig;
  std::vector<Dent> dents;

  Vec3 dented(const Vec3& p) const;
};

/// The true rig's calibration with the faults laid over it, all at once. `volume` places `local`
/// dents (width: one sixth of the space diagonal); without one they throw. Throws Error(usage) for
/// an unknown id.
Belief believe(const StereoRig& truth,
               std::span<const CalibrationFault> faults,
               const Volume* volume = nullptr);

}  // namespace rigproof
