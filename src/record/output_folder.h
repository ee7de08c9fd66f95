#pragma once

#include <filesystem>
#include <string>

namespace rigproof {

/// Collects the files of one run under a hidden temporary name and shows them all at once: the
/// folder appears complete under its final name, or not at all.
class OutputFolder {
 public:
  /// A new folder beside `wanted`; it becomes `wanted`, or `wanted-2`, `-3`, … when taken.
  explicit OutputFolder(const std::filesystem::path& wanted);
  ~OutputFolder();  ///< removes what was not published
  OutputFolder(const OutputFolder&) = delete;
  OutputFolder& operator=(const OutputFolder&) = delete;

  /// `name` may lead into folders.
  void write(const std::string& name, std::string_view content);
  /// The folder while it is hidden, for files that are written by others.
  const std::filesystem::path& path() const { return temporary_; }
  /// Moves the folder into place, to stay there even when the power fails, and returns its final
  /// path.
  std::filesystem::path publish();

 private:
  std::filesystem::path wanted_, temporary_;
  bool published_ = false;
};

/// Removes hidden temporary folders that an interrupted run on this host left in `parent`; returns
/// how many.
int sweep_unfinished(const std::filesystem::path& parent);

}  // namespace rigproof
