#pragma once

#include <string>
#include <vector>

#include "record/rig_status.h"

namespace rigproof {

/// {"schema": "rigproof-trend-1", "rig", "field", "checks", "events", "series", "suspect",
/// "forecast"}; lengths in mm.
std::string trend_json(const Trend& trend);
/// {"schema": "rigproof-rigs-1", "on", "rigs"}.
std::string rigs_json(const std::vector<RigStatus>& rigs, const std::string& today);
/// One row a rig, point as decimal mark, header line first.
std::string rigs_csv(const std::vector<RigStatus>& rigs);

}  // namespace rigproof
