#include "scan/lines.h"

namespace rigproof {
namespace {

struct OffHeader {
  std::uint64_t vertices = 0, faces = 0;
  std::uint64_t body = 0;
  std::vector<std::string> comments;
};

/// The keyword (optional in a file named .off), then vertex, face and edge counts, on one line or
/// several; the number of edges may be missing, it is used by nobody.
OffHeader parse_header(const SourceInput& input) {
  OffHeader header;
  HeaderLines lines(input.head);
  std::vector<std::uint64_t> counts;
  bool keyword_allowed = true;
  for (std::string_view line; counts.size() < 2;) {
    if (!lines.next(line)) refuse(input, "the OFF header has no counts of vertices and faces");
    if (const auto mark = line.find('#'); mark != line.npos) {
      header.comments.emplace_back(trim(line.substr(mark + 1)));
      line = line.substr(0, mark);
    }
    for (std::string_view word; !(word = next_word(line)).empty();) {
      std::uint64_t count = 0;
      if (keyword_allowed && word.ends_with("OFF")) {
        if (word.find_first_of("4n") != word.npos)
          refuse_line(input, lines.number(), "points of other than three dimensions");
      } else if (word == "BINARY") {
        refuse_line(input, lines.number(), "binary OFF is not read", "Export ASCII OFF or PLY.");
      } else if (is_count(word, count)) {
        counts.push_back(count);
      } else {
        refuse_line(input, lines.number(), shown(word) + " is no count");
      }
      keyword_allowed = false;
    }
  }
  if (!lines.ended() && counts.size() < 3) refuse(input, "the file ends inside the OFF header");
  header.vertices = counts[0];
  header.faces = counts[1];
  header.body = lines.position();
  return header;
}

}  // namespace

Source read_off(const SourceInput& input) {
  const OffHeader header = parse_header(input);
  for (const std::uint64_t count : {header.vertices, header.faces})
    if (count > input.bytes->size()) refuse_truncated(input, count, 0, "lines");
  const auto parsed =
      parse_lines(input,
                  header.body,
                  RowWindow{.first = 0, .count = header.vertices, .hash_comments = true},
                  [](std::string_view line, ChunkResult& out) {
                    out.point(parse_columns(line, {0, 1, 2}, 3));
                  });
  if (parsed.points < header.vertices) refuse_truncated(input, header.vertices, parsed.points);
  if (parsed.rows < header.vertices + header.faces)
    refuse_truncated(input, header.faces, parsed.rows - header.vertices, "faces");
  Source source;
  source.points = parsed.table();
  source.facts.format = "OFF";
  source.facts.faces = header.faces;
  source.facts.trailing = parsed.rows - header.vertices - header.faces;
  source.facts.comments = header.comments;
  return source;
}

}  // namespace rigproof
