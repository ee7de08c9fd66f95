#pragma once

#include <filesystem>

namespace rigproof {

/// The folder that a file or folder lies in, "." for a bare name; a slash at the end says nothing.
std::filesystem::path parent_of(const std::filesystem::path& path);

/// The names in a folder outlast a power failure from here on; file systems that cannot sync
/// folders are let be. False when the disk fails: what was written is there, at worst not after a
/// power failure.
bool sync_folder(const std::filesystem::path& folder);

/// Renames a file or folder within a file system and never replaces one. False, with errno, when it
/// cannot: EEXIST or ENOTEMPTY when the name is taken.
bool rename_to_new(const std::filesystem::path& from, const std::filesystem::path& to);

/// Whether no process of this number runs on this host.
bool is_gone(int process);

}  // namespace rigproof
