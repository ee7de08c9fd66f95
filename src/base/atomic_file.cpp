#include "base/atomic_file.h"

#include <atomic>
#include <cerrno>
#include <cstring>
#include <regex>

#include <fcntl.h>
#include <signal.h>
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

/// Distinct within the process by the counter, between processes by the number.
std::string temporary_name(const std::filesystem::path& path) {
  static std::atomic<unsigned> counter{0};
  return path.string() + "." + std::to_string(::getpid()) + "-" + std::to_string(counter++) +
         ".tmp";
}

}  // namespace

AtomicFile::AtomicFile(const std::filesystem::path& path) : path_(path) {
  // The name may be left over from a process that was killed: take the next one then.
  for (int attempt = 0; attempt < 100 && fd_ < 0; ++attempt) {
    temporary_ = temporary_name(path);
    fd_ = ::open(temporary_.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (fd_ < 0 && errno != EEXIST) break;
  }
  if (fd_ < 0) fail(ErrorKind::cannot_create, path, "cannot be created");
}

AtomicFile::~AtomicFile() {
  if (fd_ >= 0) ::close(fd_);
  if (!temporary_.empty()) ::unlink(temporary_.c_str());
}

void AtomicFile::write(std::string_view content) {
  while (!content.empty()) {
    const ssize_t n = ::write(fd_, content.data(), content.size());
    if (n < 0 && errno == EINTR) continue;
    if (n <= 0) fail(ErrorKind::io, path_, "cannot be written");
    content.remove_prefix(static_cast<std::size_t>(n));
  }
}

void AtomicFile::commit() {
  if (::fsync(fd_) != 0) fail(ErrorKind::io, path_, "cannot be written to disk");
  const int closed = ::close(fd_);
  fd_ = -1;
  if (closed != 0) fail(ErrorKind::io, path_, "cannot be written to disk");
  if (::rename(temporary_.c_str(), path_.c_str()) != 0)
    fail(ErrorKind::cannot_create, path_, "cannot be put in place");
  temporary_.clear();
  const auto folder = path_.has_parent_path() ? path_.parent_path() : std::filesystem::path(".");
  if (const int dir = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC); dir >= 0) {
    ::fsync(dir);
    ::close(dir);
  }
}

int remove_unfinished_files(const std::filesystem::path& folder) {
  namespace fs = std::filesystem;
  static const std::regex pattern(R"(.*\.(\d{1,9})-\d+\.tmp)");
  int removed = 0;
  std::error_code ec;
  const auto options = fs::directory_options::skip_permission_denied;
  for (fs::recursive_directory_iterator it(folder, options, ec), end; !ec && it != end;
       it.increment(ec)) {
    const std::string name = it->path().filename().string();
    std::smatch match;
    std::error_code ignored;
    if (!it->is_regular_file(ignored) || !std::regex_match(name, match, pattern)) continue;
    const bool alive = ::kill(std::stoi(match[1]), 0) == 0 || errno == EPERM;
    if (!alive && fs::remove(it->path(), ignored)) ++removed;
  }
  return removed;
}

void write_atomically(const std::filesystem::path& path, std::string_view content) {
  AtomicFile file(path);
  file.write(content);
  file.commit();
}

}  // namespace rigproof
