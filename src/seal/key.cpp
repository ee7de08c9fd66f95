// The one file that speaks to libsodium.
#include "seal/key.h"

#include <algorithm>
#include <array>
#include <cerrno>
#include <charconv>
#include <cstring>

#include <fcntl.h>
#include <signal.h>
#include <sodium.h>
#include <stdio.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/error.h"
#include "base/input_file.h"
#include "seal/sync.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

void start_library() {
  if (sodium_init() < 0) throw Error(ErrorKind::internal, "libsodium cannot be started");
}

std::string to_hex(const unsigned char* bytes, std::size_t n) {
  std::string out(2 * n + 1, '\0');
  sodium_bin2hex(out.data(), out.size(), bytes, n);
  out.pop_back();
  return out;
}

/// Exactly 2n lower-case digits into n bytes.
bool from_hex(const std::string& text, unsigned char* bytes, std::size_t n) {
  if (text.size() != 2 * n) return false;
  const bool digits = std::ranges::all_of(
      text, [](char c) { return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'f'); });
  return digits &&
         sodium_hex2bin(bytes, n, text.data(), text.size(), nullptr, nullptr, nullptr) == 0;
}

/// Cleared when it goes.
struct SecretText {
  std::string text;
  explicit SecretText(std::string secret) : text(std::move(secret)) {}
  ~SecretText() { sodium_memzero(text.data(), text.size()); }
  SecretText(const SecretText&) = delete;
  SecretText& operator=(const SecretText&) = delete;
};

/// The file of a new key: for its owner alone from the first byte on, under a temporary name until
/// place(). AtomicFile is for documents: it lets others read, and replaces.
class KeyFile {
 public:
  explicit KeyFile(const fs::path& file);
  ~KeyFile();
  KeyFile(const KeyFile&) = delete;
  KeyFile& operator=(const KeyFile&) = delete;

  void write(std::string_view text);
  void place();  ///< unless there is a file of this name

 private:
  [[noreturn]] void fail(ErrorKind kind, const char* what, int why) const;

  fs::path file_;
  std::string temporary_;
  int fd_ = -1;
};

void KeyFile::fail(ErrorKind kind, const char* what, int why) const {
  throw Error(kind,
              display(file_) + ": the key cannot be " + what + ": " + std::strerror(why),
              kind == ErrorKind::io ? "Check free space; no key was made."
                                    : "Name a file in a folder of yours with --key.");
}

KeyFile::KeyFile(const fs::path& file) : file_(file) {
  const std::string start = file.string() + "." + std::to_string(::getpid()) + "-";
  for (int n = 0; n < 100 && fd_ < 0; ++n) {
    temporary_ = start + std::to_string(n) + ".tmp";
    fd_ = ::open(temporary_.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, 0600);
    if (fd_ < 0 && errno != EEXIST) break;
  }
  if (fd_ < 0) fail(ErrorKind::cannot_create, "created", errno);
}

KeyFile::~KeyFile() {
  if (fd_ >= 0) ::close(fd_);
  if (!temporary_.empty()) ::unlink(temporary_.c_str());
}

void KeyFile::write(std::string_view text) {
  while (!text.empty()) {
    const ssize_t n = ::write(fd_, text.data(), text.size());
    if (n < 0 && errno == EINTR) continue;
    if (n <= 0) fail(ErrorKind::io, "written", n < 0 ? errno : ENOSPC);
    text.remove_prefix(static_cast<std::size_t>(n));
  }
  if (::fsync(fd_) != 0) fail(ErrorKind::io, "written to disk", errno);
  const int closed = ::close(fd_);
  fd_ = -1;
  if (closed != 0) fail(ErrorKind::io, "written to disk", errno);
}

void KeyFile::place() {
  const char *from = temporary_.c_str(), *to = file_.c_str();
  bool placed = ::renameat2(AT_FDCWD, from, AT_FDCWD, to, RENAME_NOREPLACE) == 0;
  if (placed)
    temporary_.clear();
  else if (errno == EINVAL || errno == ENOSYS)  // network file systems; a link replaces nothing
    placed = ::link(from, to) == 0;
  if (!placed) fail(ErrorKind::cannot_create, "created", errno);
  sync_folder(file_.has_parent_path() ? file_.parent_path() : fs::path("."));
}

/// Removes the secrets that runs which were killed left beside the key.
void remove_unfinished_keys(const fs::path& file) {
  const std::string start = file.filename().string() + ".";
  std::error_code ec;
  fs::directory_iterator it(file.has_parent_path() ? file.parent_path() : fs::path("."), ec), end;
  for (; !ec && it != end; it.increment(ec)) {
    const std::string name = it->path().filename().string();
    if (!name.starts_with(start) || !name.ends_with(".tmp")) continue;
    int pid = 0;
    const char* last = name.data() + name.size();
    const auto [rest, error] = std::from_chars(name.data() + start.size(), last, pid);
    if (error != std::errc() || pid <= 0 || *rest != '-') continue;
    const bool alive = ::kill(pid, 0) == 0 || errno == EPERM;
    std::error_code ignored;
    if (!alive) fs::remove(it->path(), ignored);
  }
}

}  // namespace

struct SigningKey::Secret {
  std::array<unsigned char, crypto_sign_SECRETKEYBYTES> key{};
  std::array<unsigned char, crypto_sign_PUBLICKEYBYTES> pub{};
  explicit Secret(const unsigned char* seed) {
    crypto_sign_seed_keypair(pub.data(), key.data(), seed);
  }
  ~Secret() { sodium_memzero(key.data(), key.size()); }
  Secret(const Secret&) = delete;
  Secret& operator=(const Secret&) = delete;
};

SigningKey::SigningKey(std::unique_ptr<Secret> secret) : secret_(std::move(secret)) {}
SigningKey::~SigningKey() = default;
SigningKey::SigningKey(SigningKey&&) noexcept = default;

SigningKey SigningKey::load(const fs::path& file) {
  start_library();
  std::string text = read_text(file, 4096);
  struct stat info{};
  if (::stat(file.c_str(), &info) == 0 && (info.st_mode & 077) != 0)
    throw Error(ErrorKind::config,
                display(file) + ": others may read this key",
                "Anyone who read it can sign in your name: make a new one, or if nobody did: chmod "
                "600 " +
                    display(file) + ".");
  std::array<unsigned char, crypto_sign_SEEDBYTES> seed{};
  if (text.ends_with('\n')) text.pop_back();
  const bool good = from_hex(text, seed.data(), seed.size());
  sodium_memzero(text.data(), text.size());
  if (!good)
    throw Error(ErrorKind::config,
                display(file) + ": is no signing key: not 64 hex digits",
                "Name a key file that rigproof seal made, or a new name to make one.");
  auto secret = std::make_unique<Secret>(seed.data());
  sodium_memzero(seed.data(), seed.size());
  return SigningKey(std::move(secret));
}

SigningKey SigningKey::create(const fs::path& file, const BeforePlaced& before_placed) {
  start_library();
  remove_unfinished_keys(file);
  std::array<unsigned char, crypto_sign_SEEDBYTES> seed{};
  randombytes_buf(seed.data(), seed.size());
  const SecretText secret(to_hex(seed.data(), seed.size()) + "\n");
  SigningKey key(std::make_unique<Secret>(seed.data()));
  sodium_memzero(seed.data(), seed.size());
  KeyFile out(file);
  out.write(secret.text);
  if (before_placed) before_placed(key.public_hex());
  out.place();
  return key;
}

std::string SigningKey::public_hex() const {
  return to_hex(secret_->pub.data(), secret_->pub.size());
}

std::string SigningKey::sign(const std::string& message) const {
  std::array<unsigned char, crypto_sign_BYTES> signature{};
  crypto_sign_detached(signature.data(),
                       nullptr,
                       reinterpret_cast<const unsigned char*>(message.data()),
                       message.size(),
                       secret_->key.data());
  return to_hex(signature.data(), signature.size());
}

bool signature_holds(const std::string& public_hex,
                     const std::string& message,
                     const std::string& signature_hex) {
  start_library();
  std::array<unsigned char, crypto_sign_PUBLICKEYBYTES> key{};
  std::array<unsigned char, crypto_sign_BYTES> signature{};
  return from_hex(public_hex, key.data(), key.size()) &&
         from_hex(signature_hex, signature.data(), signature.size()) &&
         crypto_sign_verify_detached(signature.data(),
                                     reinterpret_cast<const unsigned char*>(message.data()),
                                     message.size(),
                                     key.data()) == 0;
}

}  // namespace rigproof
