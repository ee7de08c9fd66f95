#include "inputs/toml_value.h"

#include <algorithm>

#include <toml++/toml.h>

#include "base/error.h"
#include "base/input_file.h"
#include "inputs/toml_depth.h"

namespace rigproof {
namespace {

constexpr int kDeepest = 32;

TomlPlace place_of(const toml::source_region& region) {
  return {std::max(region.begin.line, 1u), std::max(region.begin.column, 1u)};
}

Date date_of(const toml::date& d) {
  return {std::chrono::year(d.year), std::chrono::month(d.month), std::chrono::day(d.day)};
}

TomlValue copy(const toml::node& node);

TomlValue copy_table(const toml::table& table) {
  TomlValue out;
  for (const auto& [key, node] : table)
    out.entries.push_back({std::string(key.str()), place_of(key.source()), copy(node)});
  std::ranges::stable_sort(
      out.entries, {}, [](const TomlEntry& e) { return std::pair(e.place.line, e.place.column); });
  return out;
}

TomlValue copy(const toml::node& node) {
  using Type = TomlValue::Type;
  TomlValue out;
  if (const auto* table = node.as_table()) {
    out = copy_table(*table);
  } else if (const auto* array = node.as_array()) {
    out.type = Type::array;
    for (const auto& item : *array) out.items.push_back(copy(item));
  } else if (const auto* text = node.as_string()) {
    out.type = Type::text;
    out.text = text->get();
  } else if (const auto* integer = node.as_integer()) {
    out.type = Type::integer;
    out.number = static_cast<double>(integer->get());
  } else if (const auto* number = node.as_floating_point()) {
    out.type = Type::number;
    out.number = number->get();
  } else if (const auto* boolean = node.as_boolean()) {
    out.type = Type::boolean;
    out.boolean = boolean->get();
  } else if (const auto* date = node.as_date()) {
    out.type = Type::date;
    out.date = date_of(date->get());
  } else {
    out.type = Type::time;
  }
  out.place = place_of(node.source());
  return out;
}

std::string at(const std::string& name, TomlPlace place) {
  return name + ":" + std::to_string(place.line) + ":" + std::to_string(place.column) + ": ";
}

}  // namespace

std::string to_string(TomlValue::Type type) {
  switch (type) {
    case TomlValue::Type::table:
      return "a table";
    case TomlValue::Type::array:
      return "a list";
    case TomlValue::Type::text:
      return "a text";
    case TomlValue::Type::integer:
    case TomlValue::Type::number:
      return "a number";
    case TomlValue::Type::boolean:
      return "true or false";
    case TomlValue::Type::date:
      return "a date";
    case TomlValue::Type::time:
      break;
  }
  return "a time of day";
}

TomlValue parse_toml(std::string_view text, const std::string& name) {
  if (const auto deep = deeper_than(text, kDeepest))
    throw Error(ErrorKind::config,
                at(name, *deep) + "nested deeper than " + std::to_string(kDeepest) + " levels",
                "Such files are at most four levels deep; compare with a sample under fixtures/.");
  try {
    return copy(toml::parse(text));
  } catch (const toml::parse_error& error) {
    throw Error(ErrorKind::config,
                at(name, place_of(error.source())) + display(std::string(error.description())),
                "Correct the file at this place; texts stand in quotes, dates as 2026-01-31.");
  }
}

}  // namespace rigproof
