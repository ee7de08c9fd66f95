#include "app/large_letters.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <map>
#include <vector>

namespace rigproof {
namespace {

constexpr std::size_t kRows = 5;
using Letter = std::array<std::string_view, kRows>;

// clang-format off
const std::map<char, Letter>& letters() {
  static const std::map<char, Letter> table{
    {'A', {" ### ", "#   #", "#####", "#   #", "#   #"}},
    {'B', {"#### ", "#   #", "#### ", "#   #", "#### "}},
    {'C', {" ####", "#    ", "#    ", "#    ", " ####"}},
    {'D', {"#### ", "#   #", "#   #", "#   #", "#### "}},
    {'E', {"#####", "#    ", "#### ", "#    ", "#####"}},
    {'F', {"#####", "#    ", "#### ", "#    ", "#    "}},
    {'G', {" ####", "#    ", "#  ##", "#   #", " ####"}},
    {'H', {"#   #", "#   #", "#####", "#   #", "#   #"}},
    {'I', {"###", " # ", " # ", " # ", "###"}},
    {'J', {"  ###", "   # ", "   # ", "#  # ", " ##  "}},
    {'K', {"#   #", "#  # ", "###  ", "#  # ", "#   #"}},
    {'L', {"#    ", "#    ", "#    ", "#    ", "#####"}},
    {'M', {"#   #", "## ##", "# # #", "#   #", "#   #"}},
    {'N', {"#   #", "##  #", "# # #", "#  ##", "#   #"}},
    {'O', {" ### ", "#   #", "#   #", "#   #", " ### "}},
    {'P', {"#### ", "#   #", "#### ", "#    ", "#    "}},
    {'Q', {" ### ", "#   #", "# # #", "#  # ", " ## #"}},
    {'R', {"#### ", "#   #", "#### ", "#  # ", "#   #"}},
    {'S', {" ####", "#    ", " ### ", "    #", "#### "}},
    {'T', {"#####", "  #  ", "  #  ", "  #  ", "  #  "}},
    {'U', {"#   #", "#   #", "#   #", "#   #", " ### "}},
    {'V', {"#   #", "#   #", "#   #", " # # ", "  #  "}},
    {'W', {"#   #", "#   #", "# # #", "## ##", "#   #"}},
    {'X', {"#   #", " # # ", "  #  ", " # # ", "#   #"}},
    {'Y', {"#   #", " # # ", "  #  ", "  #  ", "  #  "}},
    {'Z', {"#####", "   # ", "  #  ", " #   ", "#####"}},
    {'0', {" ### ", "#  ##", "# # #", "##  #", " ### "}},
    {'1', {" # ", "## ", " # ", " # ", "###"}},
    {'2', {"#### ", "    #", " ### ", "#    ", "#####"}},
    {'3', {"#### ", "    #", " ### ", "    #", "#### "}},
    {'4', {"#  # ", "#  # ", "#####", "   # ", "   # "}},
    {'5', {"#####", "#    ", "#### ", "    #", "#### "}},
    {'6', {" ### ", "#    ", "#### ", "#   #", " ### "}},
    {'7', {"#####", "   # ", "  #  ", " #   ", " #   "}},
    {'8', {" ### ", "#   #", " ### ", "#   #", " ### "}},
    {'9', {" ### ", "#   #", " ####", "    #", " ### "}},
    {' ', {"  ", "  ", "  ", "  ", "  "}},
    {'-', {"   ", "   ", "###", "   ", "   "}},
    {'.', {" ", " ", " ", " ", "#"}},
    {'?', {" ### ", "#   #", "  ## ", "     ", "  #  "}},
    {'/', {"    #", "   # ", "  #  ", " #   ", "#    "}},
  };
  return table;
}
// clang-format on

const Letter* letter(char c) {
  const auto it = letters().find(static_cast<char>(std::toupper(static_cast<unsigned char>(c))));
  return it == letters().end() ? nullptr : &it->second;
}

int width_of(std::string_view word) {
  int width = -1;
  for (const char c : word) {
    const Letter* l = letter(c);
    if (!l) return -1;
    width += static_cast<int>(l->front().size()) + 1;
  }
  return width;
}

bool fits(std::string_view word, int columns) {
  const int width = width_of(word);
  return width > 0 && width <= columns;
}

// Words, and those too wide cut behind their hyphens.
std::vector<std::string> pieces(std::string_view text, int columns) {
  std::vector<std::string> out;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find(' '), text.size());
    std::string_view word = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    while (!word.empty()) {
      std::string_view part = word;
      while (!fits(part, columns)) {
        const std::size_t hyphen = part.size() < 2 ? part.npos : part.rfind('-', part.size() - 2);
        if (hyphen == part.npos) break;
        part = part.substr(0, hyphen + 1);
      }
      out.emplace_back(part);
      word.remove_prefix(part.size());
    }
  }
  return out;
}

std::string drawn(std::string_view line) {
  std::string out;
  for (std::size_t row = 0; row < kRows; ++row) {
    std::string text;
    for (const char c : line) {
      for (const char mark : (*letter(c))[row]) text += mark == '#' ? "█" : " ";
      text += ' ';
    }
    text.erase(text.find_last_not_of(' ') + 1);
    out += text + '\n';
  }
  return out;
}

}  // namespace

std::string large_letters(std::string_view text, int columns) {
  std::string out, line;
  const auto flush = [&] {
    if (line.empty()) return;
    if (!out.empty()) out += '\n';
    out += fits(line, columns) ? drawn(line) : line + '\n';
    line.clear();
  };
  for (const std::string& piece : pieces(text, columns)) {
    const bool hangs = !line.empty() && line.back() == '-';
    const std::string longer = line.empty() ? piece : line + (hangs ? "" : " ") + piece;
    if (!line.empty() && !fits(longer, columns)) {
      flush();
      line = piece;
    } else {
      line = longer;
    }
  }
  flush();
  return out;
}

}  // namespace rigproof
