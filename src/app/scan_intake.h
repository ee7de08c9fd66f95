#pragma once

#include <filesystem>
#include <map>
#include <string>

namespace rigproof {

/// Copies settled scans from a folder of the rig's software (often a network share) into a session.
/// Names are kept; nothing in the session is ever overwritten.
class ScanIntake {
 public:
  /// `into`: the session's scans folder; what already lies in it is known by its content.
  explicit ScanIntake(std::filesystem::path into);

  struct Taken {
    enum class What { copied, known, changed } what = What::copied;
    std::filesystem::path file;  ///< in the session; of `changed` empty
    std::string earlier;         ///< `known`: the name under which the same content is there
  };
  /// Copies under the same name, or, when that holds other content, as stem-2 … ; `known`: these
  /// bytes are already in the session; `changed`: somebody wrote to the file meanwhile. Throws
  /// Error(io) or Error(cannot_create) naming the file.
  Taken take(const std::filesystem::path& from);

 private:
  std::filesystem::path free_name(const std::string& name) const;

  std::filesystem::path into_;
  std::multimap<std::uintmax_t, std::string> by_size_;  ///< names
  std::map<std::string, std::string> hashes_;           ///< by name, computed when needed
  const std::string& hash_of(const std::string& name);
};

}  // namespace rigproof
