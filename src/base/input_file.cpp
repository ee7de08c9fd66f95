#include "base/input_file.h"

#include <cerrno>
#include <cstring>
#include <utility>

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/error.h"

namespace rigproof {
namespace {

std::int64_t nanoseconds(const timespec& t) { return t.tv_sec * 1'000'000'000LL + t.tv_nsec; }

/// Length of the UTF-8 sequence at text[i], 0 when it is not one (overlong forms and surrogates
/// too).
std::size_t utf8_length(const std::string& text, std::size_t i) {
  const auto byte = [&](std::size_t k) {
    return k < text.size() ? static_cast<unsigned char>(text[k]) : 0u;
  };
  const unsigned lead = byte(i);
  const std::size_t n = lead < 0x80                   ? 1
                        : lead >= 0xC2 && lead < 0xE0 ? 2
                        : lead >= 0xE0 && lead < 0xF0 ? 3
                        : lead >= 0xF0 && lead < 0xF5 ? 4
                                                      : 0;
  for (std::size_t k = 1; k < n; ++k)
    if ((byte(i + k) & 0xC0) != 0x80) return 0;
  if ((lead == 0xE0 && byte(i + 1) < 0xA0) || (lead == 0xED && byte(i + 1) > 0x9F) ||
      (lead == 0xF0 && byte(i + 1) < 0x90) || (lead == 0xF4 && byte(i + 1) > 0x8F))
    return 0;
  return n;
}

// Characters that turn or hide the text around them: marks and overrides of writing direction,
// zero-width characters, line separators (Unicode 15, general categories Cf, Zl, Zp).
bool turns_or_hides(std::string_view character) {
  if (character == "\u061C" || character == "\uFEFF") return true;
  if (character.size() != 3 || character[0] != '\xE2') return false;
  const auto second = static_cast<unsigned char>(character[1]);
  const auto third = static_cast<unsigned char>(character[2]);
  if (second == 0x80) return (third >= 0x8B && third <= 0x8F) || (third >= 0xA8 && third <= 0xAE);
  return second == 0x81 && third >= 0xA0 && third <= 0xAF;
}

}  // namespace

InputFile::InputFile(const std::filesystem::path& path) : path_(path) {
  // O_NONBLOCK: opening a FIFO without a writer must not hang.
  fd_ = ::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK);
  if (fd_ < 0)
    throw Error(ErrorKind::missing,
                display(path) + ": cannot be opened: " + std::strerror(errno),
                "Check the name and the permissions.");
  struct stat info{};
  if (::fstat(fd_, &info) != 0 || !S_ISREG(info.st_mode)) {
    ::close(fd_);
    throw Error(ErrorKind::missing,
                display(path) + (S_ISDIR(info.st_mode) ? ": is a folder, not a file"
                                                       : ": is not a regular file"),
                "Name a file on disk.");
  }
  size_ = static_cast<std::uint64_t>(info.st_size);
  mtime_ns_ = nanoseconds(info.st_mtim);
}

InputFile::~InputFile() {
  if (fd_ >= 0) ::close(fd_);
}

InputFile::InputFile(InputFile&& other) noexcept
    : path_(std::move(other.path_)),
      fd_(std::exchange(other.fd_, -1)),
      size_(other.size_),
      mtime_ns_(other.mtime_ns_) {}

void InputFile::read(std::uint64_t offset, void* into, std::size_t n) const {
  auto* out = static_cast<char*>(into);
  while (n > 0) {
    const ssize_t got = ::pread(fd_, out, n, static_cast<off_t>(offset));
    if (got < 0 && errno == EINTR) continue;
    if (got <= 0)
      throw Error(
          ErrorKind::io,
          display(path_) + ": reading stopped at byte " + std::to_string(offset) + ": " +
              (got < 0 ? std::strerror(errno) : "the file became shorter while it was read"),
          "Wait until the export has finished, then run again.");
    out += got;
    offset += static_cast<std::uint64_t>(got);
    n -= static_cast<std::size_t>(got);
  }
}

void InputFile::check_unchanged() const {
  struct stat info{};
  if (::fstat(fd_, &info) != 0 || static_cast<std::uint64_t>(info.st_size) != size_ ||
      nanoseconds(info.st_mtim) != mtime_ns_)
    throw Error(ErrorKind::io,
                display(path_) + ": changed while it was read",
                "Wait until the export has finished, then run again.");
}

std::string read_text(const std::filesystem::path& path, std::size_t limit) {
  const InputFile file(path);
  if (file.size() > limit)
    throw Error(ErrorKind::data,
                display(path) + ": " + std::to_string(file.size()) + " bytes, more than the " +
                    std::to_string(limit) + " that such a file may have",
                "Check that it is the file you meant; scans belong into scans/.");
  std::string text(file.size(), '\0');
  file.read(0, text.data(), text.size());
  file.check_unchanged();
  return text;
}

std::string display(const std::filesystem::path& path) {
  const std::string& raw = path.native();
  std::string out;
  for (std::size_t i = 0; i < raw.size();) {
    const std::size_t n = utf8_length(raw, i);
    const auto byte = static_cast<unsigned char>(raw[i]);
    const bool c1_control = n == 2 && byte == 0xC2 && static_cast<unsigned char>(raw[i + 1]) < 0xA0;
    if (n == 0 || byte < 0x20 || byte == 0x7F || c1_control ||
        turns_or_hides(std::string_view(raw).substr(i, n))) {
      static constexpr char kHex[] = "0123456789abcdef";
      for (std::size_t k = 0; k < std::max<std::size_t>(n, 1); ++k) {
        const auto b = static_cast<unsigned char>(raw[i + k]);
        out += {'\\', 'x', kHex[b >> 4], kHex[b & 15]};
      }
    } else {
      out.append(raw, i, n);
    }
    i += std::max<std::size_t>(n, 1);
  }
  return out;
}

}  // namespace rigproof
