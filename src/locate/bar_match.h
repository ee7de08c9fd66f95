#pragma once

#include <vector>

#include "inputs/artefact.h"
#include "locate/sighting.h"

namespace rigproof {

/// Which sighting plays which ball of a bar or ball plate, and how well.
struct BarMatch {
  const Artefact* artefact = nullptr;
  std::vector<int> balls;      ///< index into the sighted balls, in the order of artefact->balls
  double distance_misfit = 0;  ///< largest |measured/nominal − 1| of the distances
  double diameter_misfit = 0;  ///< of the diameters that are known
  /// Spread of all measured/nominal ratios: small when one scale explains every deviation.
  double scale_spread = 0;
  double rms = 0;  ///< of the distance deviations, for choosing between orders of the same balls
  bool swapped = false;

  double misfit() const { return std::max(distance_misfit, diameter_misfit); }
};

struct BarTolerances {
  double distance = 0.02;  ///< relative
  double diameter = 0.15;
  double equal = 0.03;  ///< of two diameters, where the artefact does not state them
};

/// Every set of sighted balls that matches, once each, in its best order: by distances, then by
/// diameters, then from left to right (X, then Y, then Z) as the list is taken to run. Where
/// the diameters make it run from right to left it is marked `swapped`.
std::vector<BarMatch> match_bar(const std::vector<BallSighting>& sighted,
                                const Artefact& artefact,
                                const BarTolerances& tolerances);

}  // namespace rigproof
