#pragma once

#include <array>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

#include "scan/source.h"

namespace rigproof {

/// What is wrong with one line; parse_lines() adds the path and the line's number.
class LineError : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

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

/// Lines of a header, one by one, whatever the line end.
class HeaderLines {
 public:
  explicit HeaderLines(std::string_view text) : text_(text) {}
  /// False at the end of the text; a last line without line end is given too.
  bool next(std::string_view& line);
  std::uint64_t number() const { return number_; }  ///< of the line given last, from 1
  std::uint64_t position() const { return at_; }    ///< of the first byte after it
  bool ended() const { return ended_; }             ///< the last line had a line end

 private:
  std::string_view text_;
  std::size_t at_ = 0;
  std::uint64_t number_ = 0;
  bool ended_ = true;
};

bool is_blank(char c);
std::string_view trim(std::string_view text);
/// The next word separated by blanks, cut off the front of `rest`; empty at the end.
std::string_view next_word(std::string_view& rest);
std::vector<std::string_view> words(std::string_view line);
std::string lower(std::string_view text);

/// A number at the front of [p, end): the position after it, or null. Accepts a leading '+', "nan",
/// "inf", the "1.#QNAN" of some C libraries; overflow gives infinity, underflow zero.
const char* parse_number(const char* p, const char* end, double& value);
/// The whole text as a number.
bool is_number(std::string_view text, double& value);
/// The whole text as a count; false for signs, fractions and overflow.
bool is_count(std::string_view text, std::uint64_t& value);

/// The words `columns` (ascending positions are fastest) of a line of at least `least` words.
std::array<double, 3> parse_columns(std::string_view line,
                                    const std::array<std::size_t, 3>& columns,
                                    std::size_t least);
/// A piece of the file for a message: short, without control characters.
std::string shown(std::string_view text);

}  // namespace rigproof
