#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "inputs/session.h"

namespace rigproof {

/// A planned position and the artefact that a plan wants there.
struct PlanEntry : PlannedPosition {
  std::string serial;  ///< "" any of the kind
};

/// A file of [[position]] blocks alone, as a procedure lists them, each with an optional `serial`.
std::vector<PlanEntry> load_positions(const std::filesystem::path& file);
std::string to_toml(const std::vector<PlanEntry>& positions);

/// Where the session's positions are: plan.toml in its folder, which `plan` writes, else those of
/// the procedure.
std::vector<PlanEntry> positions_of(const Session& session);

}  // namespace rigproof
