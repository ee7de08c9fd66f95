#include "seal/signers.h"

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <sstream>

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include "base/atomic_file.h"
#include "base/error.h"
#include "base/input_file.h"
#include "inputs/session.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

bool is_key(const std::string& text) {
  return text.size() == 64 && std::ranges::all_of(text, [](char c) {
           return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'f');
         });
}

/// False for what is certainly not there; what cannot be looked at must not pass for an empty list,
/// and is refused by whoever reads it.
bool may_be_there(const fs::path& file) {
  std::error_code ec;
  return fs::status(file, ec).type() != fs::file_type::not_found;
}

/// Held while the list is read and written anew, so that no run writes over what another added. A
/// file of its own, since the list is replaced and servers of files lock no folders. Where the file
/// system cannot lock, nobody waits.
class ListLock {
 public:
  ListLock() : fd_(open_file()) {
    if (fd_ < 0)
      throw Error(ErrorKind::cannot_create,
                  display(file()) + ": cannot be created: " + std::strerror(errno),
                  "Set RIGPROOF_HOME to a folder where you may write.");
    while (::flock(fd_, LOCK_EX) != 0 && errno == EINTR) {
    }
  }
  ~ListLock() { ::close(fd_); }
  ListLock(const ListLock&) = delete;
  ListLock& operator=(const ListLock&) = delete;

 private:
  static fs::path file() { return signers_file().string() + ".lock"; }
  static int open_file() {
    const int fd = ::open(file().c_str(), O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0666);
    if (fd >= 0 || errno != EACCES) return fd;
    const int readable = ::open(file().c_str(), O_RDONLY | O_CLOEXEC | O_NOFOLLOW);
    if (readable < 0) errno = EACCES;  // no file of another person, who shares this folder
    return readable;
  }

  int fd_ = -1;
};

bool is_trusted(const std::string& key) {
  const auto known = trusted_signers();
  return std::ranges::find(known, key, &Signer::key) != known.end();
}

}  // namespace

fs::path signers_file() { return home_folder() / "signers.txt"; }

std::vector<Signer> trusted_signers() {
  std::vector<Signer> out;
  if (!may_be_there(signers_file())) return out;
  std::istringstream in(read_text(signers_file()));
  int number = 0;
  for (std::string text; std::getline(in, text);) {
    ++number;
    if (text.empty() || text[0] == '#') continue;
    const std::string key = text.substr(0, text.find(' '));
    if (!is_key(key))
      throw Error(ErrorKind::config,
                  display(signers_file()) + ":" + std::to_string(number) +
                      ": does not begin with a public key of 64 hex digits",
                  "Write one signer a line: its key, a blank, a name.");
    const auto name = text.find_first_not_of(' ', key.size());
    out.push_back({key, name == std::string::npos ? "" : text.substr(name)});
  }
  return out;
}

void trust_signer(const Signer& signer) {
  if (is_trusted(signer.key)) return;
  std::error_code ec;
  fs::create_directories(home_folder(), ec);
  const ListLock lock;
  if (is_trusted(signer.key)) return;
  std::string text = "# Public keys whose seals are trusted here, and whose they are.\n";
  if (may_be_there(signers_file())) text = read_text(signers_file());
  if (!text.empty() && text.back() != '\n') text += '\n';
  write_atomically(signers_file(), text + signer.key + "  " + display(signer.name) + "\n");
}

}  // namespace rigproof
