#pragma once

#include "plan/predict.h"

namespace rigproof {

/// Relative standard uncertainty of a pure scale error (board pitch, board temperature, baseline)
/// that stays however often and wherever these artefacts are measured: what their certificates, the
/// thermometer and the expansion leave open, without scatter and form. Infinity without a bar or
/// ball.
double scale_floor(const std::vector<Artefact>& artefacts,
                   const ArtefactTemperature& temperature,
                   const PlacingRules& rules);

}  // namespace rigproof
