#pragma once

#include <vector>

#include "assess/results.h"
#include "seal/manifest.h"

namespace rigproof {

/// What can be refused before a key is made: Error(usage) for an authorising name that is no line
/// of plain text; Error(config) for such an id, for a session that takes files from elsewhere, and
/// for a file in the place of a customer folder's index.
void check_before_seal(const Session& session, const std::string& by);

/// What the evaluation read is among `files` as it was, and nothing has come since that it would
/// read: what is signed are the results of these very files. Throws Error(data).
void check_assessed(const Session& session,
                    const Results& results,
                    const std::vector<ManifestFile>& files);
[[noreturn]] void refuse_unassessed(const std::filesystem::path& session, const std::string& what);

}  // namespace rigproof
