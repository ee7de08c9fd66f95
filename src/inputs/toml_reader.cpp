#include "inputs/toml_reader.h"

#include <algorithm>

#include "base/error.h"
#include "base/input_file.h"
#include "inputs/line.h"
#include "inputs/near_name.h"
#include "inputs/session.h"

namespace rigproof {
namespace {

using Type = TomlValue::Type;

constexpr std::size_t kLargestFile = 4u << 20;
constexpr std::size_t kLongestLabel = 120;

bool has_control(const std::string& text) {
  return std::ranges::any_of(text, [](char c) {
    const auto byte = static_cast<unsigned char>(c);
    return byte < 0x20 || byte == 0x7F;
  });
}

}  // namespace

struct TomlTable::Document {
  std::string name;
  TomlValue root;
};

TomlTable TomlTable::load(const std::filesystem::path& file) {
  std::string text;
  try {
    text = read_text(file, kLargestFile);
  } catch (const Error& error) {
    if (error.kind() != ErrorKind::data) throw;
    throw Error(ErrorKind::config, error.what(), "Name a TOML file; scans belong in scans/.");
  }
  return parse(text, display(file));
}

TomlTable TomlTable::parse(std::string_view text, const std::string& name) {
  auto document = std::make_shared<Document>();
  document->name = name;
  document->root = parse_toml(text, name);
  const TomlValue* root = &document->root;
  return {std::move(document), root, ""};
}

// ---- finding keys

std::vector<std::string> TomlTable::keys() const {
  std::vector<std::string> out;
  for (const auto& entry : value_->entries) out.push_back(entry.key);
  return out;
}

const TomlEntry* TomlTable::find(std::string_view key) const {
  if (std::ranges::find(known_, key) == known_.end()) known_.emplace_back(key);
  const auto it = std::ranges::find(value_->entries, key, &TomlEntry::key);
  return it == value_->entries.end() ? nullptr : &*it;
}

const TomlValue& TomlTable::need(std::string_view key) const {
  if (const TomlEntry* entry = find(key)) return entry->value;
  const std::string wanted(key);
  for (const auto& entry : value_->entries)
    if (std::ranges::find(known_, entry.key) == known_.end() &&
        !near_name(entry.key, {wanted}).empty())
      refuse(entry.place,
             "unknown key " + quoted(entry.key),
             "Did you mean \"" + wanted + "\"? It is missing here.");
  fail(quoted(key) + " is missing", "Add it; samples lie under fixtures/.");
}

bool TomlTable::is_table(std::string_view key) const {
  const TomlEntry* entry = find(key);
  return entry && entry->value.type == Type::table;
}

const TomlValue& TomlTable::typed(const TomlValue& value,
                                  std::string_view key,
                                  TomlValue::Type type) const {
  if (value.type != type)
    refuse(value.place,
           quoted(key) + " must be " + to_string(type) + ", not " + to_string(value.type),
           kCorrect);
  return value;  // NOLINT(bugprone-return-const-ref-from-parameter): of the document
}

bool TomlTable::flag(std::string_view key, bool fallback) const {
  const TomlEntry* entry = find(key);
  return entry ? typed(entry->value, key, Type::boolean).boolean : fallback;
}

const std::vector<TomlValue>& TomlTable::items_of(const TomlEntry& entry, std::size_t most) const {
  const auto& items = typed(entry.value, entry.key, Type::array).items;
  if (items.size() > most)
    fail_at(entry.key,
            quoted(entry.key) + " has " + std::to_string(items.size()) +
                " entries: it must have at most " + std::to_string(most),
            kCorrect);
  return items;
}

// ---- texts

std::string TomlTable::line_of(const TomlValue& value, std::string_view key) const {
  const std::string& text = typed(value, key, Type::text).text;
  if (text.size() > kLongestLine)
    refuse(value.place,
           quoted(key) + " has " + std::to_string(text.size()) + " bytes: it must have at most " +
               std::to_string(kLongestLine),
           "Shorten it.");
  if (has_control(text))
    refuse(value.place,
           quoted(key) + " holds a control character or line end",
           "Write it on one line.");
  return text;
}

std::string TomlTable::label_of(const TomlValue& value, std::string_view key) const {
  const std::string text = line_of(value, key);
  const bool good = !text.empty() && text.size() <= kLongestLabel && text[0] != '.' &&
                    text.find('/') == std::string::npos && text[0] != ' ' && text.back() != ' ';
  if (!good)
    refuse(value.place,
           quoted(key) + " is \"" + display(text) + "\": it must be a name of 1 to " +
               std::to_string(kLongestLabel) +
               " bytes without a slash, and begin with neither dot nor space",
           "Choose a plain name such as \"R12\" or \"250-07\".");
  return text;
}

std::string TomlTable::text(std::string_view key) const { return line_of(need(key), key); }

std::string TomlTable::text(std::string_view key, const std::string& fallback) const {
  const TomlEntry* entry = find(key);
  return entry ? line_of(entry->value, key) : fallback;
}

std::string TomlTable::label(std::string_view key) const { return label_of(need(key), key); }

std::string TomlTable::label(std::string_view key, const std::string& fallback) const {
  const TomlEntry* entry = find(key);
  return entry ? label_of(entry->value, key) : fallback;
}

std::string TomlTable::word_of(const TomlValue& value,
                               std::string_view key,
                               const std::vector<std::string>& known) const {
  const std::string text = line_of(value, key);
  if (std::ranges::find(known, text) == known.end())
    refuse(value.place,
           quoted(key) + " is \"" + display(text) + "\", which is not known",
           did_you_mean(text, known));
  return text;
}

std::string TomlTable::word(std::string_view key, const std::vector<std::string>& known) const {
  return word_of(need(key), key, known);
}

std::string TomlTable::word(std::string_view key,
                            const std::vector<std::string>& known,
                            const std::string& fallback) const {
  const TomlEntry* entry = find(key);
  return entry ? word_of(entry->value, key, known) : fallback;
}

std::vector<std::string> TomlTable::texts(std::string_view key, std::size_t most) const {
  std::vector<std::string> out;
  const TomlEntry* entry = find(key);
  if (!entry) return out;
  for (const TomlValue& item : items_of(*entry, most)) out.push_back(line_of(item, key));
  return out;
}

std::optional<Date> TomlTable::date(std::string_view key) const {
  const TomlEntry* entry = find(key);
  if (!entry) return std::nullopt;
  const TomlValue& v = entry->value;
  Date date = v.date;
  if (v.type == Type::text) {
    try {
      date = parse_date(v.text);
    } catch (const Error& error) {
      fail_at(key, quoted(key) + ": " + error.what(), error.next_step());
    }
  } else {
    typed(v, key, Type::date);
  }
  const int year = static_cast<int>(date.year());
  if (!date.ok() || year < 1950 || year > 2200)
    fail_at(key,
            quoted(key) + " is " + to_string(date) + ": not a date between 1950 and 2200",
            "Write it as 2026-01-31.");
  return date;
}

// ---- tables

TomlTable TomlTable::table(std::string_view key) const {
  return {document_, &typed(need(key), key, Type::table), path_ + std::string(key) + "."};
}

std::optional<TomlTable> TomlTable::maybe_table(std::string_view key) const {
  if (!has(key)) return std::nullopt;
  return table(key);
}

std::vector<TomlTable> TomlTable::tables(std::string_view key, std::size_t most) const {
  std::vector<TomlTable> out;
  const TomlEntry* entry = find(key);
  if (!entry) return out;
  if (entry->value.type == Type::table)
    fail_at(key,
            quoted(key) + " is one table: it must be a list of them",
            "Write [[" + path_ + std::string(key) + "]] with two brackets.");
  const auto& items = items_of(*entry, most);
  for (std::size_t i = 0; i < items.size(); ++i)
    out.push_back(TomlTable(document_,
                            &typed(items[i], key, Type::table),
                            path_ + std::string(key) + "[" + std::to_string(i) + "]."));
  return out;
}

std::vector<TomlTable> TomlTable::need_tables(std::string_view key, std::size_t most) const {
  need(key);
  return tables(key, most);
}

// ---- refusals

void TomlTable::finish() const {
  for (const auto& entry : value_->entries)
    if (std::ranges::find(known_, entry.key) == known_.end())
      refuse(entry.place, "unknown key " + quoted(entry.key), did_you_mean(entry.key, known_));
}

std::string TomlTable::quoted(std::string_view key) const {
  return "\"" + display(path_ + std::string(key)) + "\"";
}

void TomlTable::refuse(TomlPlace place,
                       const std::string& what,
                       const std::string& next_step) const {
  throw Error(ErrorKind::config,
              document_->name + ":" + std::to_string(place.line) + ":" +
                  std::to_string(place.column) + ": " + what,
              next_step);
}

std::string TomlTable::where(std::string_view key) const {
  const TomlEntry* entry = find(key);
  const TomlPlace place = entry ? entry->value.place : value_->place;
  return document_->name + ":" + std::to_string(place.line) + ":" + std::to_string(place.column);
}

void TomlTable::fail(const std::string& what, const std::string& next_step) const {
  refuse(value_->place, what, next_step);
}

void TomlTable::fail_at(std::string_view key,
                        const std::string& what,
                        const std::string& next_step) const {
  const TomlEntry* entry = find(key);
  refuse(entry ? entry->value.place : value_->place, what, next_step);
}

}  // namespace rigproof
