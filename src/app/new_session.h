#pragma once

#include <filesystem>

#include "app/session_questions.h"

namespace rigproof {

/// Writes the session and everything that it uses into a folder: the named one, which must be empty
/// or absent, or one named after the session ("-2" when taken, the id likewise). Files keep their
/// comments. Whatever goes wrong, what was there before is there again and nothing else. Throws
/// Error(cannot_create) for a folder that holds something.
Session make_session(const SessionDraft& draft, const std::filesystem::path& folder);

}  // namespace rigproof
