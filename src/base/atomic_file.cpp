#include "base/atomic_file.h"

#include <cerrno>
#include <cstring>

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/error.h"
#include "base/input_file.h"

namespace rigproof {
namespace {

[[noreturn]] void fail(ErrorKind kind, const std::filesystem::path& path, const char* what) {
  const std::string why = std::strerror(errno);
  throw Error(
      kind,
      display(path) + ": " + what + ": " + why,
      "Check free space and permissions of the folder, then run again; nothing was changed.");
}

}  // namespace

void write_atomically(const std::filesystem::path& path, std::string_view content) {
  std::string temporary = path.string() + ".XXXXXX.tmp";
  const int fd = ::mkostemps(temporary.data(), 4, O_CLOEXEC);
  if (fd < 0) fail(ErrorKind::cannot_create, path, "cannot be created");
  const auto abandon = [&](ErrorKind kind, const char* what) {
    const int error = errno;
    ::close(fd);
    ::unlink(temporary.c_str());
    errno = error;
    fail(kind, path, what);
  };
  while (!content.empty()) {
    const ssize_t n = ::write(fd, content.data(), content.size());
    if (n < 0 && errno == EINTR) continue;
    if (n <= 0) abandon(ErrorKind::io, "cannot be written");
    content.remove_prefix(static_cast<std::size_t>(n));
  }
  const mode_t mask = ::umask(0);
  ::umask(mask);
  if (::fchmod(fd, 0666 & ~mask) != 0 || ::fsync(fd) != 0)
    abandon(ErrorKind::io, "cannot be written to disk");
  ::close(fd);
  if (::rename(temporary.c_str(), path.c_str()) != 0) {
    const int error = errno;
    ::unlink(temporary.c_str());
    errno = error;
    fail(ErrorKind::cannot_create, path, "cannot be put in place");
  }
  const auto folder = path.has_parent_path() ? path.parent_path() : std::filesystem::path(".");
  if (const int dir = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC); dir >= 0) {
    ::fsync(dir);
    ::close(dir);
  }
}

}  // namespace rigproof
