#pragma once

#include "assess/results.h"
#include "record/json_parts.h"

namespace rigproof {

/// Adds what values of a feature are computed again from: "rectangle" of a plate, "enclosures",
/// "patches"; each only where the feature has it.
void add_evidence(Json& to, const FeatureRecord& feature);

}  // namespace rigproof
