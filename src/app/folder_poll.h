#pragma once

#include <chrono>
#include <cstdint>
#include <filesystem>
#include <map>
#include <string>
#include <vector>

namespace rigproof {

/// What a file looked like: two equal looks some time apart mean that nobody writes to it.
struct FileLook {
  std::uint64_t size = 0;
  std::int64_t mtime_ns = 0;
  friend bool operator==(const FileLook&, const FileLook&) = default;
};

/// Watches one folder by looking again and again (a network share tells nobody of changes). Hidden
/// and temporary files, folders and what is no regular file are not seen.
class FolderPoll {
 public:
  using Clock = std::chrono::steady_clock;

  /// `settle`: a file is settled once its size and time have stood still for so long.
  FolderPoll(std::filesystem::path folder, std::chrono::milliseconds settle)
      : folder_(std::move(folder)), settle_(settle) {}

  struct News {
    std::vector<std::string> settled;  ///< names, new or changed, each told once
    std::vector<std::string> gone;     ///< names told as settled that are no longer there
    std::vector<std::string> growing;  ///< seen and not settled yet
    bool reachable = true;             ///< false: the folder cannot be read now; nothing is told
  };
  /// By name, numbers as numbers. A share that fails for a while makes nothing gone.
  News look(Clock::time_point now);
  /// The file shall be told again after it has stood still for `longer`: it was not whole.
  void look_again(const std::string& name, Clock::time_point now, std::chrono::milliseconds longer);
  FileLook look_of(const std::string& name) const;

 private:
  struct Entry {
    FileLook look;
    Clock::time_point since;  ///< it looks like this
    std::chrono::milliseconds settle{0};
    bool told = false;
    std::uint64_t round = 0;
  };
  std::filesystem::path folder_;
  std::chrono::milliseconds settle_;
  std::map<std::string, Entry> entries_;
  std::uint64_t round_ = 0;
};

}  // namespace rigproof
