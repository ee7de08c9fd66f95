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
  /// `mode` as of open(2), for a file that not everybody may read.
  explicit AtomicFile(const std::filesystem::path& path, unsigned mode = 0666);
  ~AtomicFile();
  AtomicFile(const AtomicFile&) = delete;
  AtomicFile& operator=(const AtomicFile&) = delete;

  void write(std::string_view content);
  /// Everything is on disk, and nothing more is written. For those who have to do something before
  /// the file has its name.
  void finish();
  void commit();
  /// Never replaces a file: Error(cannot_create) when there is one.
  void commit_new();
  /// The same under any name of the folder; false, and all to be tried again, when it is taken.
  bool commit_if_free(const std::filesystem::path& path);

 private:
  void named();

  std::filesystem::path path_;
  std::string temporary_;
  int fd_ = -1;
};

/// Removes temporary files that killed processes left below `folder`; returns how many.
int remove_unfinished_files(const std::filesystem::path& folder);
/// Those of one file, beside it.
void remove_unfinished(const std::filesystem::path& file);

/// The whole content in one call.
void write_atomically(const std::filesystem::path& path, std::string_view content);

}  // namespace rigproof
