#pragma once

#include <filesystem>

namespace rigproof {

/// The names in a folder outlast a power failure from here on. Throws Error(io); file systems that
/// cannot sync folders are let be.
void sync_folder(const std::filesystem::path& folder);

}  // namespace rigproof
