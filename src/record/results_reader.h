#pragma once

#include <string>

#include "assess/results.h"

namespace rigproof {

/// A results.json read back.
struct StoredResults {
  Results results;
  std::string version, build;  ///< of the program that evaluated
};

/// Results from the text of results.json and the session that it speaks of, so that results_json()
/// of them is the same text. The file holds no nominal lengths: they come from the session's
/// artefacts. Pictures are kept apart (record/pictures.h); the fits that `explain` shows and the
/// units of a budget's inputs are not kept. Throws Error(data) naming the first field that is
/// missing or of another type, and Error(data) when session or artefacts are not those of the
/// session given.
StoredResults results_from_json(const std::string& text, const Session& session);

}  // namespace rigproof
