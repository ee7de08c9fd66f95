#include "base/folder.h"

#include <cerrno>
#include <climits>

#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <sys/file.h>
#include <unistd.h>

#include "base/error.h"
#include "base/input_file.h"
#include "base/sha256.h"

namespace rigproof {

namespace fs = std::filesystem;

fs::path parent_of(const fs::path& path) {
  const fs::path named = path.has_filename() ? path : path.parent_path();
  return named.has_parent_path() ? named.parent_path() : fs::path(".");
}

bool sync_folder(const fs::path& folder) {
  const int fd = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (fd < 0) return true;  // one that may be written and not read
  const bool synced = ::fsync(fd) == 0 || errno == EINVAL || errno == ENOTSUP;
  ::close(fd);
  return synced;
}

bool rename_to_new(const fs::path& from, const fs::path& to) {
  if (::renameat2(AT_FDCWD, from.c_str(), AT_FDCWD, to.c_str(), RENAME_NOREPLACE) == 0) return true;
  if (errno != EINVAL && errno != ENOSYS) return false;
  // Some network file systems know no RENAME_NOREPLACE. A link replaces nothing, and rename() no
  // folder that holds files.
  std::error_code ec;
  if (!fs::is_directory(from, ec))
    return ::link(from.c_str(), to.c_str()) == 0 && ::unlink(from.c_str()) == 0;
  if (fs::exists(fs::symlink_status(to, ec))) return errno = EEXIST, false;
  return ::rename(from.c_str(), to.c_str()) == 0;
}

FolderLock::FolderLock(const fs::path& folder, Kind kind)
    : fd_(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC)) {
  if (fd_ < 0 || ::flock(fd_, (kind == Kind::alone ? LOCK_EX : LOCK_SH) | LOCK_NB) == 0) return;
  if (errno != EWOULDBLOCK) return;
  ::close(fd_);
  throw Error(ErrorKind::cannot_create,
              display(folder) + (kind == Kind::alone ? ": another run is at work in it"
                                                     : ": is being sealed by another run"),
              "Wait until it has ended, or end it, then run again.");
}

FolderLock::~FolderLock() {
  if (fd_ >= 0) ::close(fd_);
}

std::string host_in_name(const std::string& host) {
  constexpr std::size_t most = 32;  // of the 255 that a name may have with all that it is part of
  if (host.size() > most) return sha256_hex(host).substr(0, most);
  std::string out = host;
  for (char& c : out) {
    const bool plain = (c >= '0' && c <= '9') || (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
    if (!plain && c != '.') c = '_';
  }
  return out;
}

std::string host_name() {
  char name[HOST_NAME_MAX + 1] = {};
  return ::gethostname(name, sizeof name - 1) == 0 ? host_in_name(name) : std::string();
}

bool is_gone(int process) { return process > 0 && ::kill(process, 0) != 0 && errno != EPERM; }

}  // namespace rigproof
