#pragma once

#include <filesystem>

#include "plan/plan.h"
#include "simulate/simulate.h"

namespace rigproof {

/// A virtual session with its artefacts put where the plan says.
inline Scenario planned_scenario(const Plan& plan,
                                 const std::string& rig,
                                 const std::string& procedure,
                                 const std::vector<Fault>& faults,
                                 std::uint64_t seed,
                                 double points) {
  Scenario s = demo_scenario(rig, procedure, faults, seed, points);
  for (const PlannedScan& p : plan.scans) s.scans.push_back({p.artefact, p.center, p.direction});
  return s;
}

/// Plan of a virtual rig that knows its own scatter on the grid of `points` a scan, as its program
/// notes it after a good session.
inline Plan plan_of_virtual_rig(const std::string& rig,
                                const std::string& procedure,
                                double points,
                                const std::filesystem::path& scratch) {
  std::filesystem::remove_all(scratch);
  const SimulatedSession made = simulate(demo_scenario(rig, procedure, {}, 1, points), scratch);
  std::filesystem::remove_all(scratch);
  return make_plan(made.session, {.pitch_px = static_cast<double>(made.step)});
}

}  // namespace rigproof
