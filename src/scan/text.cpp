#include "scan/text.h"

#include <charconv>
#include <limits>

#include "base/input_file.h"

namespace rigproof {

bool HeaderLines::next(std::string_view& line) {
  if (at_ >= text_.size()) return false;
  const std::size_t mark = text_.find_first_of("\r\n", at_);
  ended_ = mark != std::string_view::npos;
  line = text_.substr(at_, ended_ ? mark - at_ : std::string_view::npos);
  at_ = ended_ ? mark + 1 : text_.size();
  // A lone '\r' ends a line too; "\r\n" is one line end.
  if (ended_ && text_[mark] == '\r' && at_ < text_.size() && text_[at_] == '\n') ++at_;
  ++number_;
  return true;
}

bool is_blank(char c) { return c == ' ' || c == '\t' || c == '\v' || c == '\f'; }

std::string_view trim(std::string_view text) {
  const auto blank = [](char c) { return is_blank(c) || c == '\r' || c == '\n'; };
  while (!text.empty() && blank(text.front())) text.remove_prefix(1);
  while (!text.empty() && blank(text.back())) text.remove_suffix(1);
  return text;
}

std::string_view next_word(std::string_view& rest) {
  std::size_t begin = 0;
  while (begin < rest.size() && is_blank(rest[begin])) ++begin;
  std::size_t end = begin;
  while (end < rest.size() && !is_blank(rest[end])) ++end;
  const std::string_view word = rest.substr(begin, end - begin);
  rest.remove_prefix(end);
  return word;
}

std::vector<std::string_view> words(std::string_view line) {
  std::vector<std::string_view> out;
  for (std::string_view word; !(word = next_word(line)).empty();) out.push_back(word);
  return out;
}

std::string lower(std::string_view text) {
  std::string out(text);
  for (char& c : out)
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  return out;
}

const char* parse_number(const char* p, const char* end, double& value) {
  if (p < end && *p == '+') {
    ++p;
    if (p < end && (*p == '-' || *p == '+')) return nullptr;
  }
  const auto [next, error] = std::from_chars(p, end, value);
  if (error == std::errc::result_out_of_range) {
    const std::string_view digits(p, static_cast<std::size_t>(next - p));
    const bool tiny = digits.find("e-") != digits.npos || digits.find("E-") != digits.npos ||
                      digits.starts_with("0.") || digits.starts_with("-0.");
    value = tiny ? 0 : std::numeric_limits<double>::infinity();
    return next;
  }
  if (error != std::errc{}) return nullptr;
  if (next < end && *next == '#') {  // 1.#QNAN, -1.#IND, 1.#INF
    const char* word = next + 1;
    while (word < end && ((*word >= 'A' && *word <= 'Z') || (*word >= '0' && *word <= '9'))) ++word;
    const std::string_view name(next + 1, static_cast<std::size_t>(word - next - 1));
    if (!name.starts_with("QNAN") && !name.starts_with("SNAN") && !name.starts_with("IND") &&
        !name.starts_with("INF"))
      return nullptr;
    value = std::numeric_limits<double>::quiet_NaN();
    return word;
  }
  return next;
}

bool is_number(std::string_view text, double& value) {
  const char* const begin = text.data();
  const char* const end = begin + text.size();
  return !text.empty() && parse_number(begin, end, value) == end;
}

bool is_count(std::string_view text, std::uint64_t& value) {
  const char* const begin = text.data();
  const char* const end = begin + text.size();
  const auto [next, error] = std::from_chars(begin, end, value);
  return !text.empty() && error == std::errc{} && next == end;
}

std::array<double, 3> parse_columns(std::string_view line,
                                    const std::array<std::size_t, 3>& columns,
                                    std::size_t least) {
  std::array<double, 3> out{};
  const char* p = line.data();
  const char* const end = p + line.size();
  std::size_t word = 0;
  for (;; ++word) {
    while (p < end && is_blank(*p)) ++p;
    if (p == end) break;
    int column = 0;
    while (column < 3 && columns[column] != word) ++column;
    if (column < 3) {
      const char* next = parse_number(p, end, out[column]);
      if (!next || (next < end && !is_blank(*next))) {
        const char* stop = p;
        while (stop < end && !is_blank(*stop)) ++stop;
        throw LineError(shown({p, static_cast<std::size_t>(stop - p)}) + " is not a number");
      }
      p = next;
    } else {
      while (p < end && !is_blank(*p)) ++p;
    }
  }
  if (word < least)
    throw LineError("the line has " + std::to_string(word) + " values, " + std::to_string(least) +
                    " are expected");
  return out;
}

std::string shown(std::string_view text) {
  static constexpr std::size_t kShown = 40;
  const std::string start = display(std::filesystem::path(std::string(text.substr(0, kShown))));
  return "\"" + start + (text.size() > kShown ? "…\"" : "\"");
}

}  // namespace rigproof
