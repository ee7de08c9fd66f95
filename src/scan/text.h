#pragma once

#include <array>
#include <cstdint>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

namespace rigproof {

/// What is wrong with one line; parse_lines() adds the path and the line's number.
class LineError : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

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
