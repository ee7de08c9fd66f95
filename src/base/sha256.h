#pragma once

#include <cstddef>
#include <filesystem>
#include <map>
#include <memory>
#include <string>
#include <string_view>

namespace rigproof {

/// Incremental SHA-256 (FIPS 180-4).
class Sha256 {
 public:
  Sha256();
  ~Sha256();
  Sha256(Sha256&&) noexcept;
  Sha256& operator=(Sha256&&) noexcept;
  void update(const void* data, std::size_t n);
  std::string hex();  ///< lower case, 64 characters; ends the computation

 private:
  struct State;
  std::unique_ptr<State> state_;
};

std::string sha256_hex(std::string_view data);
std::string sha256_file(const std::filesystem::path& path);

/// Digests of files that may be asked for often; each is read once.
class FileDigests {
 public:
  const std::string& of(const std::filesystem::path& path);

 private:
  std::map<std::filesystem::path, std::string> known_;
};

}  // namespace rigproof
