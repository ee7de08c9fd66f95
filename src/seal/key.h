#pragma once

#include <filesystem>
#include <functional>
#include <memory>
#include <string>

namespace rigproof {

/// An Ed25519 key (RFC 8032) that signs. Its file holds the 32-byte seed as 64 hex digits and a
/// line end, and may be read and written by its owner alone.
class SigningKey {
 public:
  /// Throws Error(config) for a file that others may read or that is no key, Error(missing) when
  /// there is none.
  static SigningKey load(const std::filesystem::path& file);
  /// Called with the public key once the file is safely on disk, before it stands under its name.
  using BeforePlaced = std::function<void(const std::string& public_hex)>;
  /// The file is there as a whole or not at all, whatever stops the run, and never replaces
  /// another. Throws Error(cannot_create), also when another is there, and Error(io).
  static SigningKey create(const std::filesystem::path& file,
                           const BeforePlaced& before_placed = {});
  ~SigningKey();
  SigningKey(SigningKey&&) noexcept;

  std::string public_hex() const;                      ///< 64 digits
  std::string sign(const std::string& message) const;  ///< 128 digits

 private:
  struct Secret;
  explicit SigningKey(std::unique_ptr<Secret> secret);
  std::unique_ptr<Secret> secret_;
};

/// False for a wrong signature and for texts that are not exactly as many lower-case hex digits.
bool signature_holds(const std::string& public_hex,
                     const std::string& message,
                     const std::string& signature_hex);

}  // namespace rigproof
