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
  std::string units = "mm";
  std::string rig;  ///< "R12/300"; "": unknown rig, no volume
  std::string kind = "acceptance";
};

/// Writes a session around copies of the scans in ./rigproof-DATE/ (-2 … when taken), DATE the
/// newest scan's day, and returns it. Throws Error when the folder holds no scans or nothing says
/// what is in them.
Session write_bare_session(const BareFolder& bare);

}  // namespace rigproof
