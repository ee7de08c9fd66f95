#pragma once

#include <filesystem>
#include <string_view>

namespace rigproof {

/// Writes under a temporary name in the same folder, syncs file and folder, renames. The target is
/// either the old or the whole new content, never a part. Throws Error(cannot_create) or Error(io).
void write_atomically(const std::filesystem::path& path, std::string_view content);

}  // namespace rigproof
