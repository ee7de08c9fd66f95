#pragma once

#include <filesystem>
#include <map>
#include <string>
#include <string_view>
#include <vector>

namespace rigproof {

using Words = std::map<std::string, std::string, std::less<>>;

/// Replaces {name} by its value; values are inserted as they are, never expanded again.
/// Throws Error(internal) for a name without a value.
std::string fill(std::string_view text, const Words& values);

/// The texts of one language, from <assets>/lang/<code>.txt: lines "key = text", `#` comments.
/// Lines "> English sentence" followed by "< its translation" teach phrase(); both may hold {1}
/// or {name} for what varies.
class Language {
 public:
  /// Throws Error(usage) with the languages there are, Error(config) with file:line for a bad line.
  Language(const std::filesystem::path& assets, const std::string& code);

  const std::string& code() const { return code_; }
  bool has(std::string_view key) const { return texts_.contains(key); }
  /// Throws Error(internal) for a key that the file does not hold.
  const std::string& text(std::string_view key) const;
  std::string text(std::string_view key, const Words& values) const;
  /// Sentences that another room wrote in English, parted by " · ": each in its translation where
  /// the file knows its pattern, else as it is.
  std::string phrase(const std::string& english) const;
  /// Words between commas, each translated where it is known.
  std::string words(const std::string& english) const;
  /// "near-top-left" in this language; what is no zone stays as it is.
  std::string zone(const std::string& id) const;
  const Words& texts() const { return texts_; }

 private:
  struct Pattern {
    std::vector<std::string> english;  // literal parts; one value stands between two of them
    std::vector<std::string> names;    // of the values between them
    std::string translation;
  };
  std::string sentence(const std::string& english) const;
  std::string value(const std::string& english) const;  // what stands for a {name}
  void read(const std::filesystem::path& file);
  void learn(const std::string& english, const std::string& translation);

  std::string code_;
  Words texts_;
  std::map<std::string, std::string, std::less<>> exact_;
  std::vector<Pattern> patterns_;
};

/// Codes of the languages in <assets>/lang, sorted.
std::vector<std::string> languages(const std::filesystem::path& assets);

}  // namespace rigproof
