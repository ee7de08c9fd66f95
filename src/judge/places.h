#pragma once

#include <string>
#include <vector>

#include "geometry/volume.h"
#include "judge/finding.h"
#include "judge/positions.h"

namespace rigproof {

/// A scan whose place was named, and where its artefact was found.
struct NamedPlace {
  std::string scan, named;    ///< a zone id; other words say nothing and are passed over
  Vec3 found = Vec3::Zero();  ///< middle of the artefact; mm, sensor frame
  int hand = 0;               ///< of the file's grid order, see grid_hand(); 0 unknown
};

/// mirrored, when every named place to one side is found on the other while top and bottom, near
/// and far are right: two places, or one together with reversed grid order, because one alone may
/// be a slip. Else place-relabelled, a scan each, for what lies in another zone than named; a
/// place within a twentieth of the border between the two is both.
std::vector<Finding> place_findings(const std::vector<NamedPlace>& places, const Volume& volume);

/// direction-missing: no counted bar leans enough in depth for its lengths to tell of the depth
/// scale. `limit_mm` of the spacing; ppm = limit / (L sin² lean). nullopt without bars.
std::optional<Finding> direction_missing(const std::vector<PlacedArtefact>& placed,
                                         const Volume& volume,
                                         double limit_mm);

}  // namespace rigproof
