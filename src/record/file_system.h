#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>

namespace rigproof {

/// The kind of network share that `path` (or its nearest existing parent) lies on: "NFS", "SMB" …;
/// nullopt for a local disk. File locks across machines cannot be trusted there.
std::optional<std::string> network_share(const std::filesystem::path& path);

/// By the type that statfs(2) reports; nullopt when it is local or tells nothing.
std::optional<std::string> network_share_type(long statfs_type);
/// By the name that the mount table (proc(5), mountinfo) gives to a file system.
bool is_network_mount(std::string_view type);

}  // namespace rigproof
