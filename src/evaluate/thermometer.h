#pragma once

#include "evaluate/values.h"

namespace rigproof {

/// Standard uncertainty of one reading of the artefact's temperature, K: as given, else what stands
/// for the way it was measured; see artefact_temperature, which adds a change during the test.
double reading_uncertainty(const Environment& environment);

}  // namespace rigproof
