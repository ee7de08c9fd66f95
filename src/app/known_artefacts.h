#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "inputs/session.h"

namespace rigproof {

/// Every artefact that is registered (home folder, then samples). Files that cannot be read are
/// left out; `problems` says which and why.
std::vector<Artefact> known_artefacts(std::vector<std::string>& problems);

/// Those of the registered artefacts that the scans show, found by their sizes alone among what
/// fits the session's field. Throws Error(data) where a scan shows none, or several alike.
std::vector<Artefact> artefacts_in(const std::vector<std::filesystem::path>& scans,
                                   const Session& session);

}  // namespace rigproof
