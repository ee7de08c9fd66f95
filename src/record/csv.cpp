#include "record/csv.h"

#include <algorithm>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "base/input_file.h"

namespace rigproof {

namespace {

// What a spreadsheet may take for the start of a formula, full-width forms included.
bool starts_formula(std::string_view text) {
  text.remove_prefix(std::min(text.find_first_not_of(' '), text.size()));
  for (const char* start : {"=", "+", "-", "@", "\t", "\r", "\uFF1D", "\uFF0B", "\uFF0D", "\uFF20"})
    if (text.starts_with(start)) return true;
  return false;
}

}  // namespace

// The apostrophe also after a comma or semicolon within the text, where a spreadsheet of another
// language may begin a new cell.
std::string csv_text(const std::string& raw) {
  const std::string text = display(raw);
  std::string inert;
  bool begins = true, quoted = false;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (begins && starts_formula(std::string_view(text).substr(i))) inert += '\'';
    if (c == '"') inert += '"';
    inert += c;
    begins = c == ',' || c == ';' || c == '\n';
    quoted = quoted || begins || c == '"' || c == '\r';
  }
  return quoted ? '"' + inert + '"' : inert;
}

std::string csv_row(const std::vector<std::string>& cells) {
  return fmt::format("{}\r\n", fmt::join(cells, ","));
}

}  // namespace rigproof
