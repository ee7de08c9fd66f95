#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "app/artefact_options.h"
#include "inputs/session.h"

namespace rigproof {

/// A folder of scans and a few numbers instead of written files.
struct BareFolder {
  std::filesystem::path folder;
  ArtefactOptions sizes;
  std::optional<double> limit_mm;  ///< for what the artefacts measure; none: values only
  std::string units;               ///< "": those of the rig, else mm
  std::string rig;                 ///< "R12/300" or a path; "": unknown rig, no volume
  std::string kind;                ///< "": acceptance

  bool any() const {
    return sizes.any() || limit_mm || !units.empty() || !rig.empty() || !kind.empty();
  }
};

/// Writes a session around copies of the scans in ./rigproof-DATE/ (-2 … when taken), DATE the
/// newest scan's day, and returns it. Throws Error when the folder holds no scans or nothing says
/// what is in them.
Session write_bare_session(const BareFolder& bare);

}  // namespace rigproof
