#pragma once

#include <filesystem>
#include <string>

namespace rigproof {

/// Error(cannot_create): what of a new folder could not be made, and why.
[[noreturn]] void cannot_create(const std::filesystem::path& path, const std::string& why);

/// A folder that a command fills. Unless it is kept, it is emptied again, and removed when it is
/// new: whatever ends the command early leaves nothing behind.
class UnfinishedFolder {
 public:
  /// An empty folder, or one that is made with those above it. Throws Error(cannot_create).
  explicit UnfinishedFolder(const std::filesystem::path& folder);
  /// A new one of this name or the first that is free of name-2, name-3, …; two processes get two.
  static UnfinishedFolder fresh(const std::string& name);

  ~UnfinishedFolder();
  UnfinishedFolder(const UnfinishedFolder&) = delete;
  UnfinishedFolder& operator=(const UnfinishedFolder&) = delete;

  const std::filesystem::path& path() const { return folder_; }
  void keep() { kept_ = true; }

 private:
  UnfinishedFolder(std::filesystem::path folder, std::filesystem::path topmost);
  void clear();

  std::filesystem::path folder_;
  std::filesystem::path topmost_;  // of those that were made; empty: none was
  bool kept_ = false;
};

}  // namespace rigproof
