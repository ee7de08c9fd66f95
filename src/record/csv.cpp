#include "record/csv.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "base/input_file.h"

namespace rigproof {

std::string csv_text(const std::string& raw) {
  std::string text = display(raw);
  if (!text.empty() && std::string_view("=+-@\t\r").find(text[0]) != std::string_view::npos)
    text.insert(0, "'");
  if (text.find_first_of(",\"\n\r") == std::string::npos) return text;
  std::string quoted = "\"";
  for (const char c : text) quoted += c == '"' ? "\"\"" : std::string(1, c);
  return quoted + "\"";
}

std::string csv_row(const std::vector<std::string>& cells) {
  return fmt::format("{}\r\n", fmt::join(cells, ","));
}

}  // namespace rigproof
