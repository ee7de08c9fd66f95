#pragma once

#include <filesystem>
#include <memory>

#include "assess/results.h"

namespace rigproof {

/// Largest results.json and pictures.bin that are read back.
inline constexpr std::size_t kMostStoredBytes = 256u << 20;

/// The output folder of a session (out/, out-2/, …) with the newest results.json. Throws
/// Error(missing) when there is none.
std::filesystem::path newest_output(const std::filesystem::path& session);

/// The newest results of `folder`, the session before `session`, without their pictures; nullptr
/// for
/// "". Throws Error(usage) when they are of another rig or field of view, Error when they cannot be
/// read.
std::unique_ptr<const Results> session_before(const Session& session, const std::string& folder);

}  // namespace rigproof
