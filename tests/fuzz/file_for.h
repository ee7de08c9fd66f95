#pragma once

#include <cstdint>
#include <cstdlib>
#include <filesystem>
#include <string>

#include <fcntl.h>
#include <unistd.h>

namespace rigproof {

/// A file in memory that one fuzzing process fills anew for every input. One extension a program.
inline const std::filesystem::path& file_for(const std::string& extension,
                                             const std::uint8_t* data,
                                             std::size_t size) {
  static const std::filesystem::path path =
      "/dev/shm/rigproof_fuzz_" + std::to_string(::getpid()) + extension;
  static const int fd = ::open(path.c_str(), O_RDWR | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
  static const bool removed_at_exit = std::atexit([] { ::unlink(path.c_str()); }) == 0;
  if (fd < 0 || !removed_at_exit || ::ftruncate(fd, 0) != 0 ||
      ::pwrite(fd, data, size, 0) != static_cast<ssize_t>(size))
    std::abort();
  return path;
}

}  // namespace rigproof
