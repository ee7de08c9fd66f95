// The getters of TomlTable that give numbers.
#include <cmath>

#include "base/number.h"
#include "inputs/toml_reader.h"

namespace rigproof {
namespace {

using Type = TomlValue::Type;

std::string words(const Range& r) {
  return std::string(r.above ? "more than " : "at least ") + exact(r.least) + " and at most " +
         exact(r.most) + (r.unit.empty() ? "" : " " + r.unit);
}

std::string count_words(std::size_t least, std::size_t most) {
  return least == most ? std::to_string(least)
                       : std::to_string(least) + " to " + std::to_string(most);
}

}  // namespace

double TomlTable::checked(const TomlValue& v, const std::string& key, const Range& range) const {
  if (v.type != Type::integer) typed(v, key, Type::number);
  if (!std::isfinite(v.number))
    refuse(v.place, quoted(key) + " is not a finite number", "It must be " + words(range) + ".");
  if (!range.holds(v.number))
    refuse(v.place,
           quoted(key) + " is " + exact(v.number) + ": it must be " + words(range),
           "Check the number and its unit.");
  return v.number;
}

double TomlTable::number(std::string_view key, const Range& range) const {
  return checked(need(key), std::string(key), range);
}

double TomlTable::number(std::string_view key, const Range& range, double fallback) const {
  return maybe_number(key, range).value_or(fallback);
}

std::optional<double> TomlTable::maybe_number(std::string_view key, const Range& range) const {
  const TomlEntry* entry = find(key);
  if (!entry) return std::nullopt;
  return checked(entry->value, std::string(key), range);
}

int TomlTable::integer(std::string_view key, int least, int most) const {
  const double v = number(key, {static_cast<double>(least), static_cast<double>(most), "", false});
  if (v != std::floor(v))
    fail_at(key, quoted(key) + " is " + exact(v) + ": it must be a whole number", kCorrect);
  return static_cast<int>(v);
}

int TomlTable::integer(std::string_view key, int least, int most, int fallback) const {
  return has(key) ? integer(key, least, most) : fallback;
}

std::vector<double> TomlTable::numbers(std::string_view key,
                                       const Range& range,
                                       std::size_t least_count,
                                       std::size_t most_count) const {
  const auto& items = typed(need(key), key, Type::array).items;
  if (items.size() < least_count || items.size() > most_count)
    fail_at(key,
            quoted(key) + " has " + std::to_string(items.size()) + " numbers: it must have " +
                count_words(least_count, most_count),
            kCorrect);
  std::vector<double> out;
  for (std::size_t i = 0; i < items.size(); ++i)
    out.push_back(checked(items[i], std::string(key) + "[" + std::to_string(i) + "]", range));
  return out;
}

std::vector<double> TomlTable::matrix4(std::string_view key) const {
  const Range any{-1e7, 1e7, "", false};
  const auto& rows = typed(need(key), key, Type::array).items;
  if (rows.size() == 16) return numbers(key, any, 16, 16);
  bool square = rows.size() == 4;
  std::vector<double> out;
  for (const TomlValue& row : rows) {
    const auto& items = typed(row, key, Type::array).items;
    square = square && items.size() == 4;
    for (const TomlValue& item : items) out.push_back(checked(item, std::string(key), any));
  }
  if (!square)
    fail_at(key,
            quoted(key) + " must be 4 rows of 4 numbers",
            "Write it as [[1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 1, 0], [0, 0, 0, 1]].");
  return out;
}

std::string TomlTable::small_key(std::string_view stem, std::string_view tail) const {
  const std::string prefix = stem.empty() ? "" : std::string(stem) + "_";
  const std::string um = prefix + "um" + std::string(tail), mm = prefix + "mm" + std::string(tail);
  if (!has(mm)) return um;
  if (has(um))
    fail_at(
        mm, quoted(mm) + " and " + quoted(um) + " say the same thing twice", "Keep one of them.");
  return mm;
}

double TomlTable::small_length(std::string_view stem,
                               const Range& range,
                               std::string_view tail) const {
  const std::string key = small_key(stem, tail);
  if (key.ends_with("um" + std::string(tail))) return number(key, range) / 1000;
  return number(key, {range.least / 1000, range.most / 1000, "mm", range.above});
}

double TomlTable::small_length_or(double fallback_mm,
                                  std::string_view stem,
                                  const Range& range,
                                  std::string_view tail) const {
  return has(small_key(stem, tail)) ? small_length(stem, range, tail) : fallback_mm;
}

bool TomlTable::has_expansion(std::string_view stem) const {
  const std::string ppm = std::string(stem) + "_ppm_K", plain = std::string(stem) + "_per_K";
  const bool first = has(ppm), second = has(plain);
  if (first && second)
    fail_at(plain,
            quoted(plain) + " and " + quoted(ppm) + " say the same thing twice",
            "Keep one of them.");
  return first || second;
}

double TomlTable::expansion(std::string_view stem, double fallback) const {
  if (!has_expansion(stem)) return fallback;
  const std::string ppm = std::string(stem) + "_ppm_K";
  if (has(ppm)) return number(ppm, {-20, 200, "ppm/K", false}) / 1e6;
  return number(std::string(stem) + "_per_K", {-20e-6, 200e-6, "1/K", false});
}

}  // namespace rigproof
