#include "record/output_folder.h"

#include <cerrno>
#include <charconv>
#include <cstring>

#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/atomic_file.h"
#include "base/error.h"
#include "base/input_file.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view kPrefix = ".rigproof-unfinished-";

fs::path parent_of(const fs::path& path) {
  return path.has_parent_path() ? path.parent_path() : fs::path(".");
}

}  // namespace

OutputFolder::OutputFolder(const fs::path& wanted) : wanted_(wanted) {
  if (!wanted_.has_filename()) wanted_ = wanted_.parent_path();
  std::error_code ec;
  fs::create_directories(parent_of(wanted_), ec);
  // The process id in the name tells a later run whether the writer is still alive.
  std::string name = (parent_of(wanted_) / (std::string(kPrefix) + std::to_string(::getpid()) +
                                            "-" + std::string(6, 'X')))
                         .string();
  if (!::mkdtemp(name.data()))
    throw Error(ErrorKind::cannot_create,
                display(wanted_) + ": cannot be created: " + std::strerror(errno),
                "Choose another folder with --out, or check permissions and free space.");
  ::chmod(name.c_str(), 0755);
  temporary_ = name;
}

OutputFolder::~OutputFolder() {
  std::error_code ec;
  if (!published_) fs::remove_all(temporary_, ec);
}

void OutputFolder::write(const std::string& name, std::string_view content) {
  std::error_code ec;
  fs::create_directories((temporary_ / name).parent_path(), ec);
  write_atomically(temporary_ / name, content);
}

fs::path OutputFolder::publish() {
  for (int n = 1; n < 100000; ++n) {
    const fs::path target = n == 1 ? wanted_ : fs::path(wanted_.string() + "-" + std::to_string(n));
    if (::renameat2(AT_FDCWD, temporary_.c_str(), AT_FDCWD, target.c_str(), RENAME_NOREPLACE) ==
        0) {
      published_ = true;
      return target;
    }
    // Some network file systems know no RENAME_NOREPLACE; rename() refuses a folder that holds
    // files.
    if (errno == EINVAL && !fs::exists(fs::symlink_status(target)) &&
        ::rename(temporary_.c_str(), target.c_str()) == 0) {
      published_ = true;
      return target;
    }
    if (errno != EEXIST && errno != ENOTEMPTY && errno != EINVAL) break;
  }
  throw Error(ErrorKind::cannot_create,
              display(wanted_) + ": cannot be put in place: " + std::strerror(errno),
              "Choose another folder with --out.");
}

int sweep_unfinished(const fs::path& parent) {
  int removed = 0;
  std::error_code ec;
  for (const auto& entry : fs::directory_iterator(parent, ec)) {
    const std::string name = entry.path().filename().string();
    if (!name.starts_with(kPrefix)) continue;
    int pid = 0;
    std::from_chars(name.data() + kPrefix.size(), name.data() + name.size(), pid);
    if (pid <= 0 || ::kill(pid, 0) == 0 || errno == EPERM) continue;
    if (fs::remove_all(entry.path(), ec) > 0) ++removed;
  }
  return removed;
}

}  // namespace rigproof
