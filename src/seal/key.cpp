// The one file that speaks to libsodium.
#include "seal/key.h"

#include <algorithm>
#include <array>
#include <cstring>

#include <sodium.h>
#include <sys/stat.h>

#include "base/atomic_file.h"
#include "base/error.h"
#include "base/input_file.h"

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
  remove_unfinished(file);
  std::array<unsigned char, crypto_sign_SEEDBYTES> seed{};
  randombytes_buf(seed.data(), seed.size());
  const SecretText secret(to_hex(seed.data(), seed.size()) + "\n");
  SigningKey key(std::make_unique<Secret>(seed.data()));
  sodium_memzero(seed.data(), seed.size());
  AtomicFile out(file, 0600);
  out.write(secret.text);
  out.finish();
  if (before_placed) before_placed(key.public_hex());
  out.commit_new();
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
