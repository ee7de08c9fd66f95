#pragma once

#include <string>
#include <vector>

#include "report/scene.h"

namespace rigproof {

/// What the rotating view draws, as JSON that is safe inside a script element: the volume's
/// corners, pieces, and at most 60,000 points as base64 of little-endian 16-bit integers (x, y, z
/// in steps of `step` mm about `origin`, deviation in shares of the map scale × 1000).
std::string scene_json(const ReportContext& context,
                       const Volume& volume,
                       const std::vector<PlacedPiece>& pieces);

}  // namespace rigproof
