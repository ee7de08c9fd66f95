#include "scan/table_shape.h"

#include <algorithm>

#include "scan/text.h"

namespace rigproof {
namespace {

bool is_digit(char c) { return c >= '0' && c <= '9'; }

/// Commas between digits, as decimal commas have them.
bool has_inner_comma(std::string_view cell) {
  for (std::size_t i = 1; i + 1 < cell.size(); ++i)
    if (cell[i] == ',' && is_digit(cell[i - 1]) && is_digit(cell[i + 1])) return true;
  return false;
}

bool is_decimal_comma_number(std::string_view cell) {
  try {
    cell_number(cell, true);
    return has_inner_comma(cell);
  } catch (const LineError&) {
    return false;
  }
}

bool is_cell_number(std::string_view cell, bool decimal_comma) {
  double value = 0;
  return is_number(cell, value) || (decimal_comma && is_decimal_comma_number(cell));
}

std::vector<std::size_t> numeric_columns(const std::vector<std::string_view>& cells, bool comma) {
  std::vector<std::size_t> out;
  for (std::size_t i = 0; i < cells.size(); ++i)
    if (is_cell_number(cells[i], comma)) out.push_back(i);
  return out;
}

/// "x", "X", "x [mm]", "Y(mm)" → x, y.
std::string column_name(std::string_view cell) {
  if (const std::size_t unit = cell.find_first_of("[("); unit != cell.npos)
    cell = cell.substr(0, unit);
  return lower(trim(cell));
}

/// The columns that a line names x, y and z.
std::optional<std::array<std::size_t, 3>> named_columns(std::string_view line, char separator) {
  while (!line.empty() && (is_blank(line.front()) || line.front() == '#' || line.front() == '/' ||
                           line.front() == '%'))
    line.remove_prefix(1);
  const auto cells = split_cells(line, separator);
  std::array<std::size_t, 3> columns{};
  static constexpr std::string_view kNames[] = {"x", "y", "z"};
  for (int c = 0; c < 3; ++c) {
    std::size_t found = 0;
    for (std::size_t i = 0; i < cells.size(); ++i)
      if (column_name(cells[i]) == kNames[c]) {
        columns[c] = i;
        ++found;
      }
    if (found != 1) return std::nullopt;
  }
  return columns;
}

/// How a line that holds three numbers separates them; nothing when it does not hold them.
struct Separation {
  char separator = ' ';
  bool decimal_comma = false;
  bool ambiguous = false;
};

std::optional<Separation> separation_of(std::string_view line) {
  const auto three = [&](char separator, bool comma) {
    return numeric_columns(split_cells(line, separator), comma).size() >= 3;
  };
  const bool has_comma = line.find(',') != line.npos;
  if (line.find(';') != line.npos) {
    if (three(';', false)) return Separation{';'};
    if (has_comma && three(';', true)) return Separation{';', true};
    return std::nullopt;
  }
  if (line.find('\t') != line.npos && three('\t', false)) return Separation{'\t'};
  if (has_comma) {
    // "1,5 2,5 3,5": three decimal commas or six numbers?
    const auto by_blanks = split_cells(line, ' ');
    if (std::ranges::count_if(by_blanks, has_inner_comma) >= 3) return Separation{' ', true, true};
    if (three(',', false)) return Separation{','};
  }
  if (three(' ', false)) return Separation{' '};
  return std::nullopt;
}

}  // namespace

bool is_table_comment(std::string_view line) {
  line = trim(line);
  if (line.starts_with('"')) line.remove_prefix(1);
  return line.starts_with('#') || line.starts_with("//") || line.starts_with(';') ||
         line.starts_with('%');
}

std::vector<std::string_view> split_cells(std::string_view line, char separator) {
  if (separator == ' ') return words(line);
  std::vector<std::string_view> cells;
  std::size_t begin = 0;
  bool in_quotes = false;
  for (std::size_t i = 0; i <= line.size(); ++i) {
    if (i < line.size() && line[i] == '"') in_quotes = !in_quotes;
    if (i < line.size() && (line[i] != separator || in_quotes)) continue;
    std::string_view cell = trim(line.substr(begin, i - begin));
    if (cell.size() >= 2 && cell.front() == '"' && cell.back() == '"')
      cell = trim(cell.substr(1, cell.size() - 2));
    cells.push_back(cell);
    begin = i + 1;
  }
  return cells;
}

double cell_number(std::string_view cell, bool decimal_comma) {
  double value = 0;
  if (!decimal_comma) {
    if (!is_number(cell, value)) throw LineError(shown(cell) + " is not a number");
    return value;
  }
  std::string text(cell);
  if (std::ranges::count(text, ',') > 1 || text.find('.') != text.npos)
    throw LineError(shown(cell) + " is not a number with a decimal comma");
  std::ranges::replace(text, ',', '.');
  if (!is_number(text, value)) throw LineError(shown(cell) + " is not a number");
  return value;
}

TableShape find_table_shape(const SourceInput& input) {
  TableShape shape;
  std::string_view head = input.head;
  std::uint64_t skipped = 0;
  if (head.starts_with("\xEF\xBB\xBF")) {  // byte order mark of UTF-8
    head.remove_prefix(3);
    skipped = 3;
  }
  std::vector<std::string_view> above;  // lines that may name the columns
  HeaderLines lines(head);
  std::string_view line;
  for (std::uint64_t begin = 0; lines.next(line); begin = lines.position()) {
    if (trim(line).empty()) continue;
    if (is_table_comment(line)) {
      above.push_back(line);
      shape.comments.emplace_back(trim(line));
      continue;
    }
    const auto found = separation_of(line);
    std::uint64_t count = 0;
    if (!found) {
      if (is_count(trim(line), count)) shape.promised = count;
      above.push_back(line);
      continue;
    }
    if (found->ambiguous)
      refuse_line(input,
                  lines.number(),
                  "the commas may be decimal marks or separators: " + shown(line),
                  "Export with decimal points, or separate the columns by semicolons.");
    shape.separator = found->separator;
    shape.decimal_comma = found->decimal_comma;
    shape.body = begin + skipped;
    const auto cells = split_cells(line, shape.separator);
    const auto numeric = numeric_columns(cells, shape.decimal_comma);
    std::copy_n(numeric.begin(), 3, shape.columns.begin());
    for (auto header = above.rbegin(); header != above.rend(); ++header) {
      auto named = named_columns(*header, shape.separator);
      for (const char separator : {',', ';', '\t', ' '})
        if (!named) named = named_columns(*header, separator);
      // A sentence with a lone x, y and z in it names no columns that hold numbers.
      if (!named || !std::ranges::all_of(*named, [&](std::size_t c) {
            return std::ranges::find(numeric, c) != numeric.end();
          }))
        continue;
      shape.columns = *named;
      break;
    }
    return shape;
  }
  refuse(input,
         "no line holds three numbers",
         "Export PLY, PCD, STL, OBJ, OFF or a text file of x y z, each also gzip-compressed.");
}

}  // namespace rigproof
