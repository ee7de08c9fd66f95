#pragma once

#include <filesystem>
#include <optional>

#include "judge/session_gates.h"

namespace rigproof {

/// What the first evaluation in a session folder noted (out/results.json); nullopt where there is
/// none that can be read.
std::optional<EarlierRun> first_run(const std::filesystem::path& session_folder);

}  // namespace rigproof
