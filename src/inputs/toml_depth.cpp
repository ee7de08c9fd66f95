#include "inputs/toml_depth.h"

namespace rigproof {
namespace {

bool continues_line(unsigned char c) { return (c & 0xC0) == 0x80; }

/// A walk over the text that knows strings and comments, and nothing else of the grammar.
class Walk {
 public:
  explicit Walk(std::string_view text) : text_(text) {}

  std::optional<TomlPlace> first_deeper_than(int levels) {
    while (!ended()) {
      const char c = text_[i_];
      if (c == '#') {
        skip_comment();
      } else if (c == '"' || c == '\'') {
        skip_string(c);
      } else {
        if (c == '[' || c == '{') ++brackets_;
        if ((c == ']' || c == '}') && brackets_ > 0) --brackets_;
        if (c == '.') ++dots_;
        if (c == ',' || c == '=' || c == '\n' || c == '[' || c == '{') dots_ = 0;
        if (brackets_ > levels || dots_ >= levels) return place_;
        step();
      }
    }
    return std::nullopt;
  }

 private:
  bool ended() const { return i_ >= text_.size(); }

  void step() {
    if (text_[i_] == '\n')
      place_ = {place_.line + 1, 1};
    else if (i_ + 1 < text_.size() && !continues_line(static_cast<unsigned char>(text_[i_ + 1])))
      ++place_.column;
    ++i_;
  }

  void skip_comment() {
    while (!ended() && text_[i_] != '\n') step();
  }

  void skip_string(char quote) {
    const std::string_view three = text_.substr(i_, 3);
    const bool many = three.size() == 3 && three[1] == quote && three[2] == quote;
    for (int k = many ? 3 : 1; k > 0; --k) step();
    while (!ended()) {
      if (!many && text_[i_] == '\n') return;
      if (quote == '"' && text_[i_] == '\\') {
        step();
        if (!ended()) step();
        continue;
      }
      const bool closes = many ? text_.substr(i_, 3) == three : text_[i_] == quote;
      if (closes) {
        for (int k = many ? 3 : 1; k > 0; --k) step();
        // Up to two quotes may stand before the three that end a text of many lines.
        for (int k = many ? 2 : 0; k > 0 && !ended() && text_[i_] == quote; --k) step();
        return;
      }
      step();
    }
  }

  std::string_view text_;
  std::size_t i_ = 0;
  TomlPlace place_;
  int brackets_ = 0, dots_ = 0;
};

}  // namespace

std::optional<TomlPlace> deeper_than(std::string_view text, int levels) {
  return Walk(text).first_deeper_than(levels);
}

}  // namespace rigproof
