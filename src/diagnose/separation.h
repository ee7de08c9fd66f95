#pragma once

#include <optional>

#include "diagnose/diagnose.h"

namespace rigproof {

/// A bar position that would tell two signatures apart.
struct TellingBar {
  std::string zone;   ///< of its middle
  std::string along;  ///< direction in words
  double length_mm = 0;
  double difference = 0;  ///< of the lengths that the two faults would give there, mm
  double u = 0;           ///< typical standard uncertainty of one length, mm
};

/// A fault as it was found.
struct Suspect {
  int signature = -1;
  double coefficient = 0;
};

/// Of the session's bars about the middles of the zones, along edges and diagonals as far as they
/// stay in the volume: the position where the two faults differ most. nullopt where none makes a
/// difference of two u.
std::optional<TellingBar> telling_bar(const DiagnosisModel& model,
                                      const std::vector<Artefact>& artefacts,
                                      const Suspect& a,
                                      const Suspect& b);

}  // namespace rigproof
