#pragma once

#include <optional>
#include <string>
#include <vector>

#include "scan/source.h"

namespace rigproof {

/// How the lines of a text table are to be read.
struct TableShape {
  char separator = ' ';  ///< ' ' for runs of blanks, else ',', ';' or '\t'
  bool decimal_comma = false;
  std::array<std::size_t, 3> columns = {0, 1, 2};
  std::uint64_t body = 0;                 ///< byte at which the first data line begins
  std::optional<std::uint64_t> promised;  ///< a line before the data that holds only a count
  std::vector<std::string> comments;
};

bool is_table_comment(std::string_view line);
/// The cells of a line; quotes and blanks around them are cut off.
std::vector<std::string_view> split_cells(std::string_view line, char separator);
/// A cell as a number; throws LineError for one that is not.
double cell_number(std::string_view cell, bool decimal_comma);

/// Decides from the head of the file. Throws Error(data) when no line holds three numbers, or when
/// commas could be decimal marks as well as separators.
TableShape find_table_shape(const SourceInput& input);

}  // namespace rigproof
