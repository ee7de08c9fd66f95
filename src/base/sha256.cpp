#include "base/sha256.h"

#include <vector>

#include <openssl/evp.h>

#include "base/error.h"
#include "base/input_file.h"

namespace rigproof {

struct Sha256::State {
  EVP_MD_CTX* context = EVP_MD_CTX_new();
  ~State() { EVP_MD_CTX_free(context); }
};

Sha256::Sha256() : state_(std::make_unique<State>()) {
  if (!state_->context || EVP_DigestInit_ex(state_->context, EVP_sha256(), nullptr) != 1)
    throw Error(ErrorKind::internal, "SHA-256 is not available from the crypto library");
}
Sha256::~Sha256() = default;
Sha256::Sha256(Sha256&&) noexcept = default;
Sha256& Sha256::operator=(Sha256&&) noexcept = default;

void Sha256::update(const void* data, std::size_t n) { EVP_DigestUpdate(state_->context, data, n); }

std::string Sha256::hex() {
  unsigned char digest[32];
  EVP_DigestFinal_ex(state_->context, digest, nullptr);
  static constexpr char kHex[] = "0123456789abcdef";
  std::string out;
  for (const unsigned char byte : digest) out += {kHex[byte >> 4], kHex[byte & 15]};
  return out;
}

std::string sha256_hex(std::string_view data) {
  Sha256 hash;
  hash.update(data.data(), data.size());
  return hash.hex();
}

std::string sha256_file(const std::filesystem::path& path) {
  const InputFile file(path);
  Sha256 hash;
  std::vector<char> buffer(1u << 20);
  for (std::uint64_t at = 0; at < file.size(); at += buffer.size()) {
    const auto n = std::min<std::uint64_t>(buffer.size(), file.size() - at);
    file.read(at, buffer.data(), n);
    hash.update(buffer.data(), n);
  }
  file.check_unchanged();
  return hash.hex();
}

const std::string& FileDigests::of(const std::filesystem::path& path) {
  const auto [at, fresh] = known_.try_emplace(path.lexically_normal());
  if (fresh) at->second = sha256_file(path);
  return at->second;
}

}  // namespace rigproof
