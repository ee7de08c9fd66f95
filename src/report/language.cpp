#include "report/language.h"

#include <algorithm>
#include <cctype>
#include <optional>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "base/error.h"
#include "base/input_file.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view kBetween = " · ";  // what happened · why it matters · what to do

std::string trimmed(std::string_view text) {
  const std::size_t from = text.find_first_not_of(" \t\r");
  if (from == std::string_view::npos) return "";
  return std::string(text.substr(from, text.find_last_not_of(" \t\r") + 1 - from));
}

// Literal parts and the names in braces between them.
struct Split {
  std::vector<std::string> literals{""};
  std::vector<std::string> names;
};

Split split(std::string_view text) {
  Split parts;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t open = text.find('{', at);
    const std::size_t close = open == std::string_view::npos ? open : text.find('}', open);
    if (close == std::string_view::npos) {
      parts.literals.back() += text.substr(at);
      break;
    }
    parts.literals.back() += text.substr(at, open - at);
    parts.names.emplace_back(text.substr(open + 1, close - open - 1));
    parts.literals.emplace_back();
    at = close + 1;
  }
  return parts;
}

// Values that stand between the literals, each as short as possible; nullopt without a match.
std::optional<std::vector<std::string>> match(const std::vector<std::string>& literals,
                                              std::string_view text) {
  if (!text.starts_with(literals.front())) return std::nullopt;
  std::vector<std::string> values;
  std::size_t at = literals.front().size();
  for (std::size_t k = 1; k < literals.size(); ++k) {
    const bool last = k + 1 == literals.size();
    if (last && (text.size() < at + literals[k].size() || !text.ends_with(literals[k])))
      return std::nullopt;
    const std::size_t end = last ? text.size() - literals[k].size() : text.find(literals[k], at);
    if (end == std::string_view::npos) return std::nullopt;
    values.emplace_back(text.substr(at, end - at));
    at = end + literals[k].size();
  }
  return at == text.size() ? std::optional(values) : std::nullopt;
}

// The decimal point of every number that stands by itself becomes a comma; names of files, versions
// and dates keep theirs.
std::string with_comma(std::string text) {
  const auto at = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  for (std::size_t dot = text.find('.'); dot != std::string::npos; dot = text.find('.', dot + 1)) {
    std::size_t from = dot, to = dot + 1;
    while (from > 0 && std::isdigit(at(from - 1))) --from;
    while (to < text.size() && std::isdigit(at(to))) ++to;
    const auto joins = [&](unsigned char c) {
      return std::isalnum(c) || c == '.' || c == '_' || c == '/';
    };
    const bool alone = from < dot && to > dot + 1 && (from == 0 || !joins(at(from - 1))) &&
                       (to == text.size() || !joins(at(to)));
    if (alone) text[dot] = ',';
  }
  return text;
}

}  // namespace

std::string fill(std::string_view text, const Words& values) {
  const Split parts = split(text);
  std::string out = parts.literals.front();
  for (std::size_t k = 0; k < parts.names.size(); ++k) {
    const auto it = values.find(parts.names[k]);
    if (it == values.end())
      throw Error(ErrorKind::internal,
                  fmt::format("report: no value for {{{}}} in \"{}\"", parts.names[k], text));
    out += it->second + parts.literals[k + 1];
  }
  return out;
}

std::vector<std::string> languages(const fs::path& assets) {
  std::vector<std::string> codes;
  std::error_code ignored;
  for (const auto& entry : fs::directory_iterator(assets / "lang", ignored))
    if (entry.path().extension() == ".txt") codes.push_back(entry.path().stem().string());
  std::ranges::sort(codes);
  return codes;
}

Language::Language(const fs::path& assets, const std::string& code) : code_(code) {
  const std::vector<std::string> known = languages(assets);
  if (std::ranges::find(known, code) == known.end())
    throw Error(ErrorKind::usage,
                fmt::format("language \"{}\" is not installed", display(fs::path(code))),
                fmt::format("Choose one of: {}.", fmt::join(known, ", ")));
  read(assets / "lang" / (code + ".txt"));
}

void Language::read(const fs::path& file) {
  const std::string content = read_text(file);
  std::string english;
  int number = 0;
  for (std::size_t at = 0; at < content.size();) {
    const std::size_t end = std::min(content.find('\n', at), content.size());
    const std::string line = trimmed(std::string_view(content).substr(at, end - at));
    at = end + 1;
    ++number;
    if (line.empty() || line[0] == '#') continue;
    const std::size_t equals = line.find('=');
    if (line[0] == '>') {
      english = trimmed(std::string_view(line).substr(1));
    } else if (line[0] == '<' && !english.empty()) {
      learn(english, trimmed(std::string_view(line).substr(1)));
      english.clear();
    } else if (equals != std::string::npos && english.empty()) {
      texts_[trimmed(line.substr(0, equals))] = trimmed(line.substr(equals + 1));
    } else {
      throw Error(
          ErrorKind::config,
          fmt::format("{}:{}: neither \"key = text\" nor a pair of > and <", display(file), number),
          "Correct this line of the language file.");
    }
  }
}

void Language::learn(const std::string& english, const std::string& translation) {
  const Split parts = split(english);
  if (parts.names.empty()) {
    exact_[english] = translation;
    return;
  }
  patterns_.push_back({parts.literals, parts.names, translation});
}

const std::string& Language::text(std::string_view key) const {
  const auto it = texts_.find(key);
  if (it == texts_.end())
    throw Error(ErrorKind::internal, fmt::format("report: lang/{}.txt lacks \"{}\"", code_, key));
  return it->second;
}

std::string Language::text(std::string_view key, const Words& values) const {
  return fill(text(key), values);
}

std::string Language::sentence(const std::string& english) const {
  if (const auto it = exact_.find(english); it != exact_.end()) return it->second;
  for (const Pattern& p : patterns_) {
    const auto values = match(p.english, english);
    if (!values) continue;
    Words named;
    for (std::size_t k = 0; k < values->size(); ++k) named[p.names[k]] = value((*values)[k]);
    return fill(p.translation, named);
  }
  return english;
}

std::string Language::words(const std::string& english) const {
  if (const auto it = exact_.find(english); it != exact_.end()) return it->second;
  std::string out;
  for (std::size_t at = 0; at <= english.size();) {
    const std::size_t end = std::min(english.find(", ", at), english.size());
    const std::string word = english.substr(at, end - at);
    const auto it = exact_.find(word);
    out += (at > 0 ? ", " : "") + (it == exact_.end() ? word : it->second);
    at = end + 2;
  }
  return out;
}

std::string Language::zone(const std::string& id) const {
  std::string out;
  for (std::size_t at = 0; at <= id.size();) {
    const std::size_t end = std::min(id.find('-', at), id.size());
    const std::string key = "zone." + id.substr(at, end - at);
    if (!has(key)) return id;
    out += (at > 0 ? "-" : "") + text(key);
    at = end + 1;
  }
  return out;
}

std::string Language::value(const std::string& english) const {
  const std::string placed = zone(english);
  if (placed != english) return placed;
  const std::string known = words(english);
  return known == english && code_ == "de" ? with_comma(english) : known;
}

std::string Language::phrase(const std::string& english) const {
  std::string out;
  for (std::size_t at = 0; at <= english.size();) {
    const std::size_t end = std::min(english.find(kBetween, at), english.size());
    if (at > 0) out += kBetween;
    out += sentence(english.substr(at, end - at));
    at = end + kBetween.size();
  }
  return out;
}

}  // namespace rigproof
