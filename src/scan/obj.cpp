#include <algorithm>

#include "scan/lines.h"

namespace rigproof {
namespace {

/// Every keyword of a polygon or free-form OBJ file; anything else is damage.
bool is_keyword(std::string_view word) {
  static constexpr std::string_view kWords[] = {
      "vn",       "vt",   "vp",         "p",         "l",      "fo",     "o",      "g",
      "s",        "mg",   "mtllib",     "usemtl",    "usemap", "maplib", "bevel",  "c_interp",
      "d_interp", "lod",  "shadow_obj", "trace_obj", "ctech",  "stech",  "cstype", "deg",
      "bmat",     "step", "curv",       "curv2",     "surf",   "parm",   "trim",   "hole",
      "scrv",     "sp",   "end",        "con",       "call",   "csh"};
  return std::ranges::find(kWords, word) != std::end(kWords);
}

void parse(std::string_view line, ChunkResult& out) {
  std::string_view rest = line;
  const std::string_view word = next_word(rest);
  if (word.empty() || word.front() == '#') return;
  if (word == "v") return out.point(parse_columns(rest, {0, 1, 2}, 3));
  if (word == "f" || word == "fo") {
    if (words(rest).size() < 3) throw LineError("a face of fewer than three corners");
    ++out.counts[0];
    return;
  }
  // A line after one that ends in '\' goes on with numbers.
  double value = 0;
  if (!is_keyword(word) && !is_number(word.substr(0, word.find('/')), value))
    throw LineError(shown(word) + " is no OBJ keyword");
}

std::vector<std::string> leading_comments(std::string_view head) {
  std::vector<std::string> out;
  HeaderLines lines(head);
  for (std::string_view line; lines.next(line);) {
    line = trim(line);
    if (!line.empty() && line.front() != '#') break;
    if (!line.empty()) out.emplace_back(trim(line.substr(1)));
  }
  return out;
}

}  // namespace

Source read_obj(const SourceInput& input) {
  const auto parsed = parse_lines(input, 0, {}, parse);
  if (parsed.points == 0) refuse(input, "the OBJ file has no vertex");
  Source source;
  source.points = parsed.table();
  source.facts.format = "OBJ";
  source.facts.faces = parsed.counts[0];
  source.facts.comments = leading_comments(input.head);
  return source;
}

}  // namespace rigproof
