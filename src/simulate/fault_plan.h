#pragma once

#include <vector>

#include "simulate/scenario.h"
#include "simulate/truth.h"

namespace rigproof {

/// The scenario's faults with every magnitude settled and every single-scan fault given its scan.
struct FaultPlan {
  std::vector<CalibrationFault> calibration;
  std::vector<TrueFault> all;  ///< as they go into truth.json

  bool has(std::string_view name) const;
  /// Magnitude in the fault's unit, 0 when it is not planted.
  double value(std::string_view name) const;
  /// Scan index of a single-scan fault; −1 when it is not planted.
  int scan(std::string_view name) const;
  std::vector<std::pair<std::string, int>> scans;
};

/// Typical noise of a scenario's rig: depth at the middle of the volume. mm
double middle_noise(const Scenario& scenario);

/// Magnitudes that were left open are such that they must be found: several times what a session
/// can detect, stated per unit of the rig's own noise and limits where those decide.
FaultPlan plan_faults(const Scenario& scenario, const std::vector<Placement>& placements);

}  // namespace rigproof
