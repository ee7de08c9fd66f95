#pragma once

#include "scan/scan.h"

namespace rigproof {

/// Decides on the transform of the file or of the options (which wins) and writes the whole way
/// from file mm to the sensor frame. A transform that is not rigid is not applied; the facts say
/// so.
void place(const ScanOptions& options,
           const std::optional<std::array<double, 16>>& in_file,
           ScanFacts& facts,
           RigidTransform& to_sensor);

}  // namespace rigproof
