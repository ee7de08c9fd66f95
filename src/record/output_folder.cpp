#include "record/output_folder.h"

#include <cerrno>
#include <charconv>
#include <cstring>

#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/atomic_file.h"
#include "base/error.h"
#include "base/folder.h"
#include "base/input_file.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view kPrefix = ".rigproof-unfinished-";

// Host and process in the name tell a later run whether the writer is still alive: a process can be
// asked for on its own host only, and several may write to one shared disk.
std::string temporary_name() {
  return std::string(kPrefix) + "@" + host_name() + "-" + std::to_string(::getpid()) + "-" +
         std::string(6, 'X');  // which mkdtemp replaces
}

// Whether a hidden folder is that of a process of this host which is gone. Names of before began
// with the process.
bool is_abandoned(std::string_view name) {
  if (!name.starts_with(kPrefix)) return false;
  name.remove_prefix(kPrefix.size());
  if (name.starts_with('@')) {
    const std::string here = "@" + host_name() + "-";
    if (!name.starts_with(here)) return false;
    name.remove_prefix(here.size());
  }
  int pid = 0;
  std::from_chars(name.data(), name.data() + name.size(), pid);
  return is_gone(pid);
}

}  // namespace

OutputFolder::OutputFolder(const fs::path& wanted) : wanted_(wanted) {
  if (!wanted_.has_filename()) wanted_ = wanted_.parent_path();
  std::error_code ec;
  fs::create_directories(parent_of(wanted_), ec);
  std::string name = (parent_of(wanted_) / temporary_name()).string();
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
  sync_folder(temporary_);
  for (int n = 1; n < 100000; ++n) {
    const fs::path target = n == 1 ? wanted_ : fs::path(wanted_.string() + "-" + std::to_string(n));
    if (rename_to_new(temporary_, target)) {
      published_ = true;
      // Until then a power failure may bring the hidden name back, and the next run would sweep it.
      sync_folder(parent_of(target));
      return target;
    }
    if (errno != EEXIST && errno != ENOTEMPTY) break;
  }
  throw Error(ErrorKind::cannot_create,
              display(wanted_) + ": cannot be put in place: " + std::strerror(errno),
              "Choose another folder with --out.");
}

int sweep_unfinished(const fs::path& parent) {
  int removed = 0;
  std::error_code ec;
  for (const auto& entry : fs::directory_iterator(parent, ec)) {
    if (!is_abandoned(entry.path().filename().string())) continue;
    if (fs::remove_all(entry.path(), ec) > 0) ++removed;
  }
  return removed;
}

}  // namespace rigproof
