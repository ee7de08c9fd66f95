#pragma once

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "inputs/toml_value.h"

namespace rigproof {

/// What a number may be. `unit` is for messages.
struct Range {
  double least = 0, most = 0;
  std::string unit;
  bool above = false;  ///< more than `least`, not equal to it

  static Range positive(double most, std::string unit) { return {0, most, std::move(unit), true}; }
  static Range from_zero(double most, std::string unit) {
    return {0, most, std::move(unit), false};
  }
  bool holds(double value) const {
    return (above ? value > least : value >= least) && value <= most;
  }
};

/// One table of a file, read key by key. Every getter notes its key as known, so that finish() can
/// refuse what nobody asked for. All refusals are Error(config), "file:line:column: what".
class TomlTable {
 public:
  /// Reads and parses. Throws Error(missing) when the file cannot be opened, else Error(config).
  static TomlTable load(const std::filesystem::path& file);
  static TomlTable parse(std::string_view text, const std::string& name);

  bool has(std::string_view key) const { return find(key) != nullptr; }
  bool is_table(std::string_view key) const;
  std::vector<std::string> keys() const;

  /// Without a fallback the key is required; an unread key with nearly its name is reported as a
  /// misspelling. Numbers are finite and within `range`.
  double number(std::string_view key, const Range& range) const;
  double number(std::string_view key, const Range& range, double fallback) const;
  std::optional<double> maybe_number(std::string_view key, const Range& range) const;
  int integer(std::string_view key, int least, int most) const;
  int integer(std::string_view key, int least, int most, int fallback) const;
  bool flag(std::string_view key, bool fallback) const;
  /// One line of at most 2000 bytes without control characters.
  std::string text(std::string_view key) const;
  std::string text(std::string_view key, const std::string& fallback) const;
  /// A text that is not empty and has no slash, so that it can name a file.
  std::string label(std::string_view key) const;
  std::string label(std::string_view key, const std::string& fallback) const;
  /// One of the known words.
  std::string word(std::string_view key, const std::vector<std::string>& known) const;
  std::string word(std::string_view key,
                   const std::vector<std::string>& known,
                   const std::string& fallback) const;
  std::vector<std::string> texts(std::string_view key, std::size_t most) const;
  std::optional<Date> date(std::string_view key) const;
  /// Between `least_count` and `most_count` numbers.
  std::vector<double> numbers(std::string_view key,
                              const Range& range,
                              std::size_t least_count,
                              std::size_t most_count) const;
  /// 4 rows of 4 numbers, or 16 in one list; row by row.
  std::vector<double> matrix4(std::string_view key) const;

  /// A length under `stem`_um, or `stem`_mm, in mm; `range` is in µm. A stem "" means "um" | "mm";
  /// `tail` follows the unit ("_per_year").
  double small_length(std::string_view stem, const Range& range, std::string_view tail = "") const;
  double small_length_or(double fallback_mm,
                         std::string_view stem,
                         const Range& range,
                         std::string_view tail = "") const;
  /// An expansion coefficient under `stem`_ppm_K or `stem`_per_K, in 1/K.
  double expansion(std::string_view stem, double fallback) const;
  bool has_expansion(std::string_view stem) const;

  TomlTable table(std::string_view key) const;
  std::optional<TomlTable> maybe_table(std::string_view key) const;
  /// [[key]] blocks, or a list of inline tables; empty when absent.
  std::vector<TomlTable> tables(std::string_view key, std::size_t most = 10000) const;
  /// The same, required.
  std::vector<TomlTable> need_tables(std::string_view key, std::size_t most = 10000) const;

  /// Throws for the first key that no getter asked for, with the nearest known name.
  void finish() const;
  [[noreturn]] void fail(const std::string& what, const std::string& next_step) const;
  /// At the value of `key`, or at the table when it is absent.
  [[noreturn]] void fail_at(std::string_view key,
                            const std::string& what,
                            const std::string& next_step) const;
  /// "file:line:column" of the value of `key`, or of the table.
  std::string where(std::string_view key) const;

 private:
  struct Document;
  TomlTable(std::shared_ptr<const Document> document, const TomlValue* value, std::string path)
      : document_(std::move(document)), value_(value), path_(std::move(path)) {}

  static constexpr char kCorrect[] = "Correct it; samples lie under fixtures/.";

  const TomlEntry* find(std::string_view key) const;
  const TomlValue& need(std::string_view key) const;
  const TomlValue& typed(const TomlValue& value, std::string_view key, TomlValue::Type type) const;
  double checked(const TomlValue& value, const std::string& key, const Range& range) const;
  const std::vector<TomlValue>& items_of(const TomlEntry& entry, std::size_t most) const;
  std::string line_of(const TomlValue& value, std::string_view key) const;
  std::string label_of(const TomlValue& value, std::string_view key) const;
  std::string word_of(const TomlValue& value,
                      std::string_view key,
                      const std::vector<std::string>& known) const;
  std::string small_key(std::string_view stem, std::string_view tail) const;
  /// The key with the tables that lead to it, in quotes.
  std::string quoted(std::string_view key) const;
  [[noreturn]] void refuse(TomlPlace place,
                           const std::string& what,
                           const std::string& next_step) const;

  std::shared_ptr<const Document> document_;
  const TomlValue* value_;
  std::string path_;  ///< "" at the root, else "environment." or "balls[2]."
  mutable std::vector<std::string> known_;
};

}  // namespace rigproof
