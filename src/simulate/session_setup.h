#pragma once

#include "simulate/fault_plan.h"

namespace rigproof {

/// Everything that the scans of one simulated session share. Keeps a reference to its scenario.
struct SessionSetup {
  const Scenario& scenario;
  Chance chance;
  StereoRig rig;                     ///< as it is
  std::vector<ArtefactBody> bodies;  ///< longest bar first
  std::vector<Placement> placements;
  FaultPlan plan;
  Sensor sensor;
  double true_C = 20;  ///< of the artefacts at the first scan

  const Volume& volume() const { return scenario.field_of_view().volume; }
  const ArtefactBody& body(const std::string& serial) const;
  double progress(std::size_t scan) const;  ///< 0 at the first scan, 1 at the last
  double celsius(std::size_t scan) const {
    return true_C + plan.value("not-soaked") * progress(scan);
  }

  /// What stands before the rig in a scan, where it need not be what the papers say.
  const ArtefactBody& standing(std::size_t scan) const;
  VirtualScene scene(std::size_t scan) const;
  Sensor sensor_at(std::size_t scan) const;
  ScanCondition condition(std::size_t scan) const;
  /// Random numbers of one scan.
  Chance chance_of(std::size_t scan) const;
};

/// Draws the artefacts, places them, settles the faults and the pixel step. Throws Error(config)
/// when nothing fits.
SessionSetup prepare(const Scenario& scenario);

}  // namespace rigproof
