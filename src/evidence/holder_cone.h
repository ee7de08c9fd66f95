#pragma once

#include <optional>

#include "evaluate/feature.h"

namespace rigproof {

/// The cone of a holder that reaches into the seen side of a ball: points of the zone far off the
/// surface that lie in one direction, with more beyond the gate. Axis in the sensor frame, from the
/// ball along the holder. nullopt where such points lie about everywhere, or none beyond the gate.
std::optional<Holder> find_holder(const BallFeature& ball);

}  // namespace rigproof
