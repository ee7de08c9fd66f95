#pragma once

#include <vector>

#include "geometry/shapes.h"
#include "inputs/artefact.h"

namespace rigproof {

/// Where an artefact's balls sit in its own frame, from the lengths of its listed distances (mm, in
/// the order of `Artefact::distances`): one ball at the origin, a bar's two along X about its
/// middle, more in the X–Y plane. Throws Error(config) where the distances do not fix the balls in
/// one plane.
std::vector<Vec3> ball_layout(const Artefact& artefact, const std::vector<double>& lengths_mm);
/// From the certified lengths.
std::vector<Vec3> ball_layout(const Artefact& artefact);

}  // namespace rigproof
