#pragma once

#include <optional>
#include <string>
#include <vector>

#include "app/command.h"
#include "inputs/artefact.h"

namespace rigproof {

/// --ball, --bar and --plate as `look` and `assess` share them: mm at 20 °C.
struct ArtefactOptions {
  std::optional<double> ball, bar;
  std::string plate;

  bool any() const { return ball || bar || !plate.empty(); }
  /// Artefacts without a certificate; with a bar, --ball is the diameter of its balls. Throws
  /// Error(usage) for what is not a size.
  std::vector<Artefact> artefacts() const;
  std::vector<Option> options();
};

}  // namespace rigproof
