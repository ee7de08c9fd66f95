#pragma once

#include <filesystem>
#include <string>

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

/// Held while a folder is worked in: by many at once, or by one that must be alone. Between hosts
/// only where the file system locks between them; where it cannot lock at all, nobody waits.
class FolderLock {
 public:
  enum class Kind { shared, alone };
  /// Throws Error(cannot_create) when another run holds it in a way that excludes this one.
  FolderLock(const std::filesystem::path& folder, Kind kind);
  FolderLock(const FolderLock&) = delete;
  FolderLock& operator=(const FolderLock&) = delete;
  ~FolderLock();

 private:
  int fd_ = -1;
};

/// A host as it can stand in a file's name and end at a dash: letters, digits, dots, others as
/// underscores; at most 32 characters, a longer name as its digest.
std::string host_in_name(const std::string& host);
/// This one so.
std::string host_name();

/// Whether no process of this number runs on this host.
bool is_gone(int process);

}  // namespace rigproof
