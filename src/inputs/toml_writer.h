#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "inputs/artefact.h"

namespace rigproof {

/// Texts of TOML values. Numbers are the shortest that read back to the same double.
std::string toml_text(std::string_view text);
std::string toml_texts(const std::vector<std::string>& texts);
std::string toml_numbers(const std::vector<double>& numbers);
/// "stem_um = x" when micrometres read back to exactly `mm`, else "stem_mm = x"; "um = x" | "mm =
/// x" for an empty stem.
std::string toml_small_length(std::string_view stem, double mm, std::string_view tail = "");
/// "stem_ppm_K = x" or, when that would not read back exactly, "stem_per_K = x".
std::string toml_expansion(std::string_view stem, double per_K);

/// Lines "key = value", built up to a file.
class TomlWriter {
 public:
  void text(std::string_view key, std::string_view value);  ///< left out when empty
  void number(std::string_view key, double value);
  void flag(std::string_view key, bool value);
  void date(std::string_view key, const std::optional<Date>& date);
  void line(std::string_view whole);  ///< as it is
  /// "[name]" or "[[name]]" after an empty line.
  void heading(std::string_view brackets);
  const std::string& str() const { return out_; }

 private:
  std::string out_;
};

}  // namespace rigproof
