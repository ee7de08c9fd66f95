#include <algorithm>

#include "scan/lines.h"
#include "scan/ply_header.h"

namespace rigproof {
namespace {

ScalarType scalar_of(const PlyHeader& header) {
  bool all_float = true, any_double = false;
  for (const std::size_t p : header.xyz) {
    const Numeric type = header.elements[header.vertex].properties[p].type;
    all_float &= type == Numeric::f32;
    any_double |= type == Numeric::f64;
  }
  if (all_float) return ScalarType::float32;
  return any_double ? ScalarType::float64 : ScalarType::integer;
}

/// Walks the binary body element by element.
class Body {
 public:
  Body(const SourceInput& input, const PlyHeader& header)
      : input_(input),
        header_(header),
        big_(header.format == PlyHeader::Format::big),
        cursor_(*input.bytes, header.size) {}

  PointTable run() {
    PointTable points;
    for (std::size_t i = 0; i < header_.elements.size(); ++i) {
      const PlyElement& e = header_.elements[i];
      if (i == header_.vertex)
        points = e.has_list() ? walk_vertices(e) : fixed_vertices(e);
      else
        skip(e);
    }
    return points;
  }
  std::uint64_t trailing() const { return cursor_.left(); }

 private:
  PointTable fixed_vertices(const PlyElement& e) {
    const std::uint64_t stride = e.fixed_size();
    if (stride > kMaxStride)
      refuse(input_, "a vertex of " + std::to_string(stride) + " bytes is more than is read");
    PointTable points{.bytes = input_.bytes, .start = cursor_.position(), .count = e.count};
    points.layout.stride = static_cast<std::uint32_t>(stride);
    points.layout.big_endian = big_;
    for (int c = 0; c < 3; ++c) {
      std::uint64_t offset = 0;
      for (std::size_t p = 0; p < header_.xyz[c]; ++p) offset += size_of(e.properties[p].type);
      points.layout.offset[c] = static_cast<std::uint32_t>(offset);
      points.layout.type[c] = e.properties[header_.xyz[c]].type;
    }
    skip(e);
    return points;
  }

  void skip(const PlyElement& e) {
    const std::string what = e.name == "vertex" ? "points" : e.name + " records";
    const std::uint64_t size = e.fixed_size();
    if (size > 0 && saturated_product(e.count, size) > cursor_.left() && !e.has_list())
      refuse_truncated(input_, e.count, cursor_.left() / size, what);
    if (!e.has_list()) {
      cursor_.skip(e.count * size);
      return;
    }
    for (std::uint64_t i = 0; i < e.count; ++i)
      if (!record(e, nullptr)) refuse_truncated(input_, e.count, i, what);
  }

  /// Vertices that carry lists have no stride: their coordinates are kept in memory.
  PointTable walk_vertices(const PlyElement& e) {
    auto kept = std::make_shared<MemoryBytes>();
    std::vector<double> piece;
    for (std::uint64_t i = 0; i < e.count; ++i) {
      double xyz[3] = {};
      if (!record(e, xyz)) refuse_truncated(input_, e.count, i);
      piece.insert(piece.end(), xyz, xyz + 3);
      static constexpr std::size_t kPiece = 3u << 15;
      if (piece.size() < kPiece && i + 1 < e.count) continue;
      kept->append_copy(piece.data(), piece.size() * sizeof(double));
      piece.clear();
    }
    return {.bytes = kept, .count = e.count, .layout = Layout::packed(Numeric::f64)};
  }

  /// One record; false when the file ends inside it.
  bool record(const PlyElement& e, double* xyz) {
    for (std::size_t p = 0; p < e.properties.size(); ++p) {
      const PlyProperty& property = e.properties[p];
      const char* at = cursor_.take(size_of(property.list_count.value_or(property.type)));
      if (!at) return false;
      if (property.list_count) {
        const double length = number_at(at, *property.list_count, big_);
        if (!(length >= 0 && length < 0x1p63))
          refuse(input_,
                 "byte " + std::to_string(cursor_.position()) + ": a list of impossible length");
        if (!cursor_.skip(
                saturated_product(static_cast<std::uint64_t>(length), size_of(property.type))))
          return false;
      } else if (xyz) {
        for (int c = 0; c < 3; ++c)
          if (header_.xyz[c] == p) xyz[c] = number_at(at, property.type, big_);
      }
    }
    return true;
  }

  const SourceInput& input_;
  const PlyHeader& header_;
  bool big_;
  ByteCursor cursor_;
};

/// The coordinates of a text vertex with lists in it.
std::array<double, 3> parse_with_lists(const PlyHeader& header, std::string_view line) {
  std::array<double, 3> xyz{};
  const auto& properties = header.elements[header.vertex].properties;
  const auto number = [&] {
    const std::string_view word = next_word(line);
    double value = 0;
    if (!is_number(word, value)) throw LineError(shown(word) + " is not a number");
    return value;
  };
  for (std::size_t p = 0; p < properties.size(); ++p) {
    double value = number();
    if (properties[p].list_count) {
      if (!(value >= 0)) throw LineError("a list of impossible length");
      for (; value >= 1; --value) number();
    }
    for (int c = 0; c < 3; ++c)
      if (header.xyz[c] == p) xyz[c] = value;
  }
  return xyz;
}

PointTable read_ascii(const SourceInput& input, const PlyHeader& header, std::uint64_t& trailing) {
  const PlyElement& vertex = header.elements[header.vertex];
  RowWindow window{.first = 0, .count = vertex.count};
  std::uint64_t promised = 0;  // each term at most the size of the file
  for (std::size_t i = 0; i < header.elements.size(); ++i) {
    // A record without properties is an empty line, and empty lines do not count.
    const PlyElement& e = header.elements[i];
    const std::uint64_t rows = e.properties.empty() ? 0 : e.count;
    if (rows > input.bytes->size())  // a line has at least one byte
      refuse_truncated(input, e.count, 0, i == header.vertex ? "points" : e.name + " records");
    if (i < header.vertex) window.first += rows;
    promised += rows;
  }
  const bool lists = vertex.has_list();
  const auto parsed =
      parse_lines(input, header.size, window, [&](std::string_view line, ChunkResult& out) {
        out.point(lists ? parse_with_lists(header, line)
                        : parse_columns(line, header.xyz, vertex.properties.size()));
      });
  if (parsed.points < vertex.count) refuse_truncated(input, vertex.count, parsed.points);
  if (parsed.rows < promised) refuse_truncated(input, promised, parsed.rows, "lines");
  trailing = parsed.rows - promised;
  return parsed.table();
}

}  // namespace

Source read_ply(const SourceInput& input) {
  const PlyHeader header = parse_ply_header(input);
  Source source;
  ScanFacts& facts = source.facts;
  if (header.format == PlyHeader::Format::ascii) {
    facts.format = "PLY ASCII";
    source.points = read_ascii(input, header, facts.trailing);
  } else {
    const bool big = header.format == PlyHeader::Format::big;
    facts.format = big ? "PLY binary big-endian" : "PLY binary little-endian";
    facts.scalar = scalar_of(header);
    Body body(input, header);
    source.points = body.run();
    facts.trailing = body.trailing();
  }
  for (const PlyElement& e : header.elements)
    if ((e.name == "face" || e.name == "tristrips") && !e.properties.empty())
      facts.faces += e.count;  // without properties nothing in the file backs the number
  if (header.columns * header.rows == source.points.count) {
    facts.columns = header.columns;
    facts.rows = header.rows;
  }
  facts.comments = header.comments;
  source.transform = header.transform;
  return source;
}

}  // namespace rigproof
