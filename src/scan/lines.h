#pragma once

#include <array>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string_view>
#include <vector>

#include "scan/source.h"
#include "scan/text.h"

namespace rigproof {

/// What one chunk of lines gave.
struct ChunkResult {
  std::vector<double> xyz;                   ///< three a point
  std::array<std::uint64_t, 4> counts = {};  ///< whatever the format counts
  void point(const std::array<double, 3>& p) { xyz.insert(xyz.end(), p.begin(), p.end()); }
};

/// The data lines (neither blank nor, if so told, starting with '#') that are to be parsed.
struct RowWindow {
  std::uint64_t first = 0, count = 0;
  bool hash_comments = false;
};

struct ParsedLines {
  std::shared_ptr<MemoryBytes> xyz =
      std::make_shared<MemoryBytes>();  ///< doubles, 24 bytes a point
  std::uint64_t points = 0;
  std::array<std::uint64_t, 4> counts = {};
  std::uint64_t rows = 0;  ///< data lines in the whole text, with a window only

  PointTable table() const {
    return {.bytes = xyz, .count = points, .layout = Layout::packed(Numeric::f64)};
  }
};

/// Calls parse(line, result) for every line from byte `from` on, in parallel chunks of whole lines;
/// with a window only for the data lines inside. Lines come without line end and trailing blanks.
ParsedLines parse_lines(const SourceInput& input,
                        std::uint64_t from,
                        const std::optional<RowWindow>& window,
                        const std::function<void(std::string_view line, ChunkResult&)>& parse);

}  // namespace rigproof
