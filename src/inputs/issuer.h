#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace rigproof {

/// Who issues certificates: <home>/issuer.toml.
struct Issuer {
  std::string name;
  std::vector<std::string> address;  ///< lines
  std::string place_of_test;         ///< "" where the rig stands: not stated
  std::vector<std::string> languages{"en"};
  std::string paper = "A4";  ///< A4 | Letter
  std::string units = "mm";  ///< of lengths in reports
  /// The statement of an accredited laboratory; "" none, and the certificate says that there is
  /// none.
  std::string accreditation;
};

/// Throws Error(missing) or Error(config).
Issuer load_issuer(const std::filesystem::path& file);
std::string to_toml(const Issuer& issuer);
/// <home>/issuer.toml; nullopt when there is none.
std::optional<Issuer> home_issuer();
void save_home_issuer(const Issuer& issuer);

}  // namespace rigproof
