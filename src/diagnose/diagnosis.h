// diagnose: why a rig measures wrongly. Which small fault of the calibration explains the errors of
// a session, what cannot be told apart, where evidence lies, and what to do about it.
// Enters: balls and plates as evaluated, the rig's geometry, artefacts, environment, what was found
// besides. Leaves: a Diagnosis and the zones, beside the test values, which it never changes.
#pragma once

#include <optional>
#include <string>
#include <vector>

namespace rigproof {

/// A fault that explains the errors as well as the best one does, within chance.
struct Cause {
  std::string id, unit;  ///< of calibration_fault_kinds(), or of the generic field; see signature.h
  double coefficient = 0, u = 0;  ///< in `unit`
  double chi2_drop = 0;           ///< of the model with this fault alone
  /// Its part of the χ² that the named model explains: alone, or of two faults the mean of what it
  /// explains first and last.
  double share = 0;
  std::string zone{};  ///< of `local`
  /// Largest length error of the session if this model were taken off. mm
  double worst_after = 0;
};

struct DetectionLimit {
  std::string id, unit;
  /// Magnitude that is found with 95 % probability while 5 % of clean sessions name anything.
  double value = 0;
  double worst_sd = 0;  ///< largest length error in the volume that such a fault causes, mm
};

struct Diagnosis {
  bool ran = false;
  bool clean = true;  ///< false without causes: none of a size that a rig can have explains them
  std::vector<Cause> causes;  ///< what the data cannot tell apart, best first
  std::vector<std::vector<std::string>> indistinguishable;
  std::vector<std::string> advice;
  std::vector<DetectionLimit> detection_limits;
  std::string geometry;  ///< "stereo", "tape" or "generic"; "" when it did not run
  bool two_faults = false;
  double chi2_per_dof = 0;  ///< of what the named model leaves; about 1 when nothing is left
  double worst_sd = 0;      ///< largest |length error| of the session, mm
};

struct ZoneRecord {
  std::string zone;
  int observations = 0;
  std::optional<double> worst_ratio;
  std::optional<int> views;  ///< where the session says how often the board was shown
};

}  // namespace rigproof
