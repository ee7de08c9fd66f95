#pragma once

#include <string>
#include <vector>

#include "inputs/artefact.h"
#include "locate/sighting.h"

namespace rigproof {

/// What to look for so that every registered artefact can be found.
LocateRequest request_for(const std::vector<Artefact>& artefacts);

/// An artefact found in a scan: which ball or plate sighting plays which part.
struct Recognised {
  const Artefact* artefact = nullptr;
  std::vector<int> balls;  ///< index into Sighting::balls, in the order of artefact->balls
  int plate = -1;          ///< index into Sighting::plates
  bool swapped = false;    ///< diameters fit the listed order the other way round
  double misfit = 0;       ///< largest relative deviation of a distance or diameter
};

struct Recognition {
  std::vector<Recognised> found;        ///< unique matches, best first
  std::vector<std::string> candidates;  ///< why it is not unique or complete, with numbers
  bool one_ball = false;                ///< a single ball that belongs to a bar
  bool ambiguous = false;
};

/// Unique match within `tolerance` (2 %) of lengths and sizes.
Recognition recognise(const Sighting& sighting,
                      const std::vector<Artefact>& artefacts,
                      const std::string& named = {},
                      double tolerance = 0.02);

}  // namespace rigproof
