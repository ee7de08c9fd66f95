#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace rigproof {

/// A public key that is trusted here, and whose it is.
struct Signer {
  std::string key;  ///< 64 hex digits
  std::string name;
};

/// <home>/signers.txt: a key and a name a line; lines that start with # are comments. Empty when
/// there is no such file. Throws Error(config) for a line that is neither, Error(missing) when it
/// cannot be read.
std::vector<Signer> trusted_signers();
/// Adds one line unless the key is there already; several processes may add at once.
void trust_signer(const Signer& signer);
/// The file, for messages.
std::filesystem::path signers_file();

}  // namespace rigproof
