#pragma once

#include <string>
#include <vector>

#include "diagnose/diagnosis.h"
#include "geometry/volume.h"

namespace rigproof {

/// Whether a rig that still measures can have a fault of this size. Signatures are linear in their
/// coefficient; beyond some mrad, or the 15 % by which a rig's scale may be off and its artefacts
/// still be recognised, they mean nothing. `cause` with its unit; dents and bows by the volume.
bool is_possible(const Cause& cause, const Volume& volume);

/// Whether one of the findings tells why values are off, so that this cause must not be named:
/// points that are not this rig's measurement explain all, points that were removed or stray what
/// looks like a dent.
bool is_explained(const Cause& cause, const std::vector<std::string>& findings);

}  // namespace rigproof
