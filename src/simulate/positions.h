#pragma once

#include <vector>

#include "inputs/procedure.h"

namespace rigproof {

/// Positions for a procedure that names none: balls in alternate zones, bars along edges, faces and
/// diagonals, plates near, far and tilted, as many as the demand asks for; the closing repeat is a
/// bar that leans in depth, measured first and last.
std::vector<PlannedPosition> usual_positions(const Demand& demand);

}  // namespace rigproof
