#include "scan/lines.h"
#include "scan/table_shape.h"

namespace rigproof {
namespace {

/// A data line without copies: the cells that are wanted, in one sweep.
std::array<double, 3> parse_cells(const TableShape& shape, std::string_view line) {
  std::array<double, 3> out{};
  int found = 0;
  if (line.find('"') != line.npos) {
    const auto cells = split_cells(line, shape.separator);
    for (int c = 0; c < 3; ++c)
      if (shape.columns[c] < cells.size()) {
        out[c] = cell_number(cells[shape.columns[c]], shape.decimal_comma);
        ++found;
      }
  } else {
    std::size_t column = 0;
    for (std::size_t begin = 0; found < 3 && begin <= line.size(); ++column) {
      const std::size_t mark = std::min(line.find(shape.separator, begin), line.size());
      for (int c = 0; c < 3; ++c)
        if (shape.columns[c] == column) {
          out[c] = cell_number(trim(line.substr(begin, mark - begin)), shape.decimal_comma);
          ++found;
        }
      begin = mark + 1;
    }
  }
  if (found < 3) throw LineError("fewer columns than the lines before");
  return out;
}

}  // namespace

Source read_table(const SourceInput& input) {
  const TableShape shape = find_table_shape(input);
  const std::size_t least = 1 + std::max({shape.columns[0], shape.columns[1], shape.columns[2]});
  // counts[0]: points promised by further count lines, as files of several PTS blocks have them.
  const auto parsed =
      parse_lines(input, shape.body, {}, [&](std::string_view line, ChunkResult& out) {
        std::uint64_t count = 0;
        if (line.empty() || is_table_comment(line)) return;
        if (shape.promised && is_count(trim(line), count))
          out.counts[0] += count;
        else
          out.point(shape.separator == ' ' ? parse_columns(line, shape.columns, least)
                                           : parse_cells(shape, line));
      });
  const std::uint64_t promised = shape.promised.value_or(0) + parsed.counts[0];
  if (promised > parsed.points) refuse_truncated(input, promised, parsed.points);
  Source source;
  source.points = parsed.table();
  source.facts.format = "text table";
  source.facts.scalar = ScalarType::text;
  source.facts.comments = shape.comments;
  return source;
}

}  // namespace rigproof
