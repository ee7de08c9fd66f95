#pragma once

#include <cstdint>
#include <cstdlib>
#include <filesystem>
#include <string>

#include <fcntl.h>
#include <unistd.h>

namespace rigproof {

/// The folder of one fuzzing process, below TMPDIR (run.sh: in memory); it goes when the process
/// ends by itself.
inline const std::filesystem::path& fuzz_folder() {
  static const std::filesystem::path folder =
      std::filesystem::temp_directory_path() / ("rigproof_fuzz_" + std::to_string(::getpid()));
  static const bool made = std::filesystem::create_directories(folder) &&
                           std::atexit([] { std::filesystem::remove_all(folder); }) == 0;
  if (!made) std::abort();
  return folder;
}

/// The one file of that folder, filled anew for every input. One name a program.
inline const std::filesystem::path& file_for(const std::string& name,
                                             const std::uint8_t* data,
                                             std::size_t size) {
  static const std::filesystem::path path = fuzz_folder() / name;
  static const int fd = ::open(path.c_str(), O_RDWR | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
  const auto length = static_cast<ssize_t>(size);
  if (fd < 0 || ::pwrite(fd, data, size, 0) != length || ::ftruncate(fd, length) != 0) std::abort();
  return path;
}

}  // namespace rigproof
