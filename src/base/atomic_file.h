#pragma once

#include <filesystem>
#include <string>
#include <string_view>

namespace rigproof {

/// A file that comes into being at once: written under a temporary name in the same folder, and on
/// commit() synced and renamed together with its folder's entry. Without commit() nothing remains.
/// Throws Error(cannot_create) or Error(io); the target is either the old or the whole new content.
class AtomicFile {
 public:
  explicit AtomicFile(const std::filesystem::path& path);
  ~AtomicFile();
  AtomicFile(const AtomicFile&) = delete;
  AtomicFile& operator=(const AtomicFile&) = delete;

  void write(std::string_view content);
  void commit();

 private:
  std::filesystem::path path_;
  std::string temporary_;
  int fd_ = -1;
};

/// Removes temporary files that killed processes left below `folder`; returns how many.
int remove_unfinished_files(const std::filesystem::path& folder);

/// The whole content in one call.
void write_atomically(const std::filesystem::path& path, std::string_view content);

}  // namespace rigproof
