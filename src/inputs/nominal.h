#pragma once

#include <optional>

#include "inputs/artefact.h"

namespace rigproof {

/// Artefacts written around numbers typed on a command line: no certificate, the distance or
/// diameter at 20 °C, steel by common practice. Throw Error(usage) for sizes that are not positive.
Artefact nominal_ball(double diameter_mm);
/// Two balls at a distance; without a diameter the balls are searched for as two of equal size.
Artefact nominal_bar(double length_mm, std::optional<double> ball_diameter_mm = std::nullopt);
Artefact nominal_plate(double length_mm, double width_mm);

}  // namespace rigproof
