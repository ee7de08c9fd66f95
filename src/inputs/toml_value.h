#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "inputs/artefact.h"

namespace rigproof {

/// Where something stands in a file, from 1; a column is a character.
struct TomlPlace {
  unsigned line = 1, column = 1;
};

struct TomlEntry;

/// A TOML document as plain values, every one with its place.
struct TomlValue {
  enum class Type { table, array, text, integer, number, boolean, date, time };
  Type type = Type::table;
  TomlPlace place;
  std::string text;
  double number = 0;  ///< integers too
  bool boolean = false;
  Date date{};
  std::vector<TomlEntry> entries;  ///< table, by place in the file
  std::vector<TomlValue> items;    ///< array
};

struct TomlEntry {
  std::string key;
  TomlPlace place;  ///< of the key
  TomlValue value;
};

/// "a text", "a number" … for messages.
std::string to_string(TomlValue::Type type);

/// Parses strictly (TOML 1.0). Throws Error(config) with "name:line:column: what"; nesting deeper
/// than 32 is refused before memory is taken.
TomlValue parse_toml(std::string_view text, const std::string& name);

}  // namespace rigproof
