#pragma once

#include <string>

#include "assess/results.h"

namespace rigproof {

/// What values of a feature are computed again from, as one JSON object: "rectangle" of a plate,
/// "enclosures", "patches"; each only where the feature has it.
std::string evidence_json(const FeatureRecord& feature);

}  // namespace rigproof
