#include "base/folder.h"

#include <cerrno>

#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <unistd.h>

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

bool is_gone(int process) { return process > 0 && ::kill(process, 0) != 0 && errno != EPERM; }

}  // namespace rigproof
