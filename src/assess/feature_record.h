#pragma once

#include "assess/results.h"

namespace rigproof {

/// What results.json keeps of an evaluated feature, with a thinned picture of its deviations.
FeatureRecord record_of(const BallFeature& ball);
FeatureRecord record_of(const PlateFeature& plate);

}  // namespace rigproof
