#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <string>

namespace rigproof {

/// A regular file opened for positioned reads. Directories, FIFOs, sockets and devices are refused
/// without blocking; the size is the one at opening, and a file that shrinks or changes while it is
/// read is an Error(io).
class InputFile {
 public:
  /// Throws Error(missing) naming the path and the reason.
  explicit InputFile(const std::filesystem::path& path);
  ~InputFile();
  InputFile(InputFile&& other) noexcept;
  InputFile& operator=(InputFile&&) = delete;

  const std::filesystem::path& path() const { return path_; }
  std::uint64_t size() const { return size_; }
  /// Reads exactly n bytes at offset; Error(io) when fewer arrive. Safe from several threads.
  void read(std::uint64_t offset, void* into, std::size_t n) const;
  /// Throws Error(io) when size or modification time differ from those at opening.
  void check_unchanged() const;

 private:
  std::filesystem::path path_;
  int fd_ = -1;
  std::uint64_t size_ = 0;
  std::int64_t mtime_ns_ = 0;
};

/// A small text file whole; Error(data) above `limit` bytes.
std::string read_text(const std::filesystem::path& path, std::size_t limit = 16u << 20);

/// A path as text for people: invalid UTF-8 and control characters shown as \xNN.
std::string display(const std::filesystem::path& path);

}  // namespace rigproof
