#pragma once

#include "assess/results.h"

namespace rigproof {

/// What results.json keeps of an evaluated feature, with a thinned picture of its deviations.
FeatureRecord record_of(const BallFeature& ball);
FeatureRecord record_of(const PlateFeature& plate);
/// The cone that the zone leaves out, and whether the scan showed it or the artefact's file says
/// it.
void record_holder(FeatureRecord& record, const Holder& holder, bool found);

}  // namespace rigproof
