#include "base/atomic_file.h"

#include <atomic>
#include <cerrno>
#include <cstring>
#include <regex>

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/error.h"
#include "base/folder.h"
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

/// Left by a process of this host that is gone; whether one of another host lives cannot be asked
/// here. Names of before began with the process.
bool is_left_over(const std::string& name) {
  static const std::regex pattern(R"(.*\.(?:@([A-Za-z0-9._]*)-)?(\d{1,9})-\d+\.tmp)");
  std::smatch match;
  if (!std::regex_match(name, match, pattern)) return false;
  if (match[1].matched && match[1] != host_name()) return false;
  return is_gone(std::stoi(match[2]));
}

/// Distinct within the process by the counter, on one host by the process, on a shared disk by the
/// host.
std::string temporary_name(const std::filesystem::path& path) {
  static std::atomic<unsigned> counter{0};
  return path.string() + ".@" + host_name() + "-" + std::to_string(::getpid()) + "-" +
         std::to_string(counter++) + ".tmp";
}

}  // namespace

AtomicFile::AtomicFile(const std::filesystem::path& path, unsigned mode) : path_(path) {
  namespace fs = std::filesystem;
  std::error_code ec;
  const fs::file_status there = fs::symlink_status(path, ec);
  // A device would be gone for the whole machine.
  if (fs::exists(there) && !fs::is_regular_file(there) && !fs::is_symlink(there))
    throw Error(ErrorKind::cannot_create,
                display(path) + ": is there and is no regular file",
                "Name a file on disk; nothing was changed.");
  // The name may be left over from a process that was killed: take the next one then.
  for (int attempt = 0; attempt < 100 && fd_ < 0; ++attempt) {
    temporary_ = temporary_name(path);
    fd_ = ::open(temporary_.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, mode);
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

void AtomicFile::finish() {
  if (fd_ < 0) return;
  if (::fsync(fd_) != 0) fail(ErrorKind::io, path_, "cannot be written to disk");
  const int closed = ::close(fd_);
  fd_ = -1;
  if (closed != 0) fail(ErrorKind::io, path_, "cannot be written to disk");
}

void AtomicFile::commit() {
  finish();
  if (::rename(temporary_.c_str(), path_.c_str()) != 0)
    fail(ErrorKind::cannot_create, path_, "cannot be put in place");
  named();
}

void AtomicFile::commit_new() {
  if (!commit_if_free(path_)) fail(ErrorKind::cannot_create, path_, "cannot be put in place");
}

bool AtomicFile::commit_if_free(const std::filesystem::path& path) {
  finish();
  if (!rename_to_new(temporary_, path)) {
    if (errno == EEXIST) return false;
    fail(ErrorKind::cannot_create, path, "cannot be put in place");
  }
  named();
  return true;
}

void AtomicFile::named() {
  temporary_.clear();
  sync_folder(parent_of(path_));
}

int remove_unfinished_files(const std::filesystem::path& folder) {
  namespace fs = std::filesystem;
  int removed = 0;
  std::error_code ec;
  const auto options = fs::directory_options::skip_permission_denied;
  for (fs::recursive_directory_iterator it(folder, options, ec), end; !ec && it != end;
       it.increment(ec)) {
    std::error_code ignored;
    if (it->is_regular_file(ignored) && is_left_over(it->path().filename().string()))
      removed += fs::remove(it->path(), ignored);
  }
  return removed;
}

void remove_unfinished(const std::filesystem::path& file) {
  namespace fs = std::filesystem;
  const std::string start = file.filename().string() + ".";
  std::error_code ec;
  for (fs::directory_iterator it(parent_of(file), ec), end; !ec && it != end; it.increment(ec)) {
    const std::string name = it->path().filename().string();
    std::error_code ignored;
    if (name.starts_with(start) && is_left_over(name)) fs::remove(it->path(), ignored);
  }
}

void write_atomically(const std::filesystem::path& path, std::string_view content) {
  AtomicFile file(path);
  file.write(content);
  file.commit();
}

}  // namespace rigproof
