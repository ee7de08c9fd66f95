#include <algorithm>
#include <bit>
#include <cstring>

extern "C" {
#include <lzf.h>
}

#include "scan/lines.h"

namespace rigproof {
namespace {

struct Field {
  std::string name;
  std::uint64_t size = 4, count = 1;
  char type = 'F';
};

struct PcdHeader {
  std::vector<Field> fields;
  std::uint64_t width = 0, height = 1, points = 0;
  std::string data;
  std::uint64_t body = 0;
  std::vector<std::string> comments;
  std::array<std::size_t, 3> xyz = {};  ///< indices of the fields

  std::uint64_t stride() const {
    std::uint64_t bytes = 0;
    for (const Field& f : fields) bytes += f.size * f.count;
    return bytes;
  }
  std::uint64_t offset(std::size_t field) const {
    std::uint64_t bytes = 0;
    for (std::size_t i = 0; i < field; ++i) bytes += fields[i].size * fields[i].count;
    return bytes;
  }
};

class Parser {
 public:
  explicit Parser(const SourceInput& input) : input_(input), lines_(input.head) {}

  PcdHeader run() {
    while (header_.data.empty()) {
      std::string_view line;
      if (!lines_.next(line)) refuse(input_, "the PCD header has no DATA line");
      if (line.starts_with('#')) {
        header_.comments.emplace_back(trim(line.substr(1)));
        continue;
      }
      const auto all = words(line);
      if (!all.empty()) entry(all.front(), {all.begin() + 1, all.end()});
    }
    header_.body = lines_.position();
    check();
    return std::move(header_);
  }

 private:
  [[noreturn]] void fail(const std::string& what) { refuse_line(input_, lines_.number(), what); }

  void entry(std::string_view key, const std::vector<std::string_view>& values) {
    if (key == "FIELDS" || key == "COLUMNS") {
      for (const auto v : values) header_.fields.push_back({.name = std::string(v)});
    } else if (key == "SIZE" || key == "COUNT") {
      each(values,
           [&](Field& f, std::string_view v) { (key == "SIZE" ? f.size : f.count) = number(v); });
    } else if (key == "TYPE") {
      each(values, [&](Field& f, std::string_view v) { f.type = v.size() == 1 ? v[0] : '?'; });
    } else if (key == "WIDTH" || key == "HEIGHT" || key == "POINTS") {
      if (values.size() != 1) fail(std::string(key) + " needs one number");
      const std::uint64_t n = number(values[0]);
      if (key == "WIDTH") header_.width = n;
      if (key == "HEIGHT") header_.height = n;
      if (key == "POINTS") {
        header_.points = n;
        points_seen_ = true;
      }
    } else if (key == "DATA") {
      if (values.size() != 1) fail("DATA needs one word");
      header_.data = lower(values[0]);
    } else if (key != "VERSION" && key != "VIEWPOINT") {
      fail(shown(key) + " is no line of a PCD header");
    }
  }

  template <class Use>
  void each(const std::vector<std::string_view>& values, const Use& use) {
    if (values.size() != header_.fields.size())
      fail(std::to_string(values.size()) + " values for " + std::to_string(header_.fields.size()) +
           " fields");
    for (std::size_t i = 0; i < values.size(); ++i) use(header_.fields[i], values[i]);
  }

  std::uint64_t number(std::string_view text) {
    std::uint64_t n = 0;
    if (!is_count(text, n)) fail(shown(text) + " is no count");
    return n;
  }

  static bool is_known(const Field& f) {
    if (f.type == 'F') return f.size == 4 || f.size == 8;
    return (f.type == 'I' || f.type == 'U') && f.size <= 8 && std::has_single_bit(f.size);
  }

  void check() {
    const std::uint64_t grid = saturated_product(header_.width, header_.height);
    if (!points_seen_) header_.points = grid;
    if (header_.width != 0 && grid != header_.points)
      refuse(input_, "WIDTH times HEIGHT is not POINTS in the PCD header");
    std::uint64_t stride = 0;
    for (const Field& f : header_.fields) {
      if (!is_known(f))
        refuse(input_, "field " + shown(f.name) + " has a type or size that PCD does not know");
      stride += f.count > kMaxStride ? kMaxStride + 1 : f.size * f.count;
      if (stride > kMaxStride)
        refuse(input_, "a point of more than " + std::to_string(kMaxStride) + " bytes");
    }
    static constexpr const char* kNames[] = {"x", "y", "z"};
    for (int c = 0; c < 3; ++c) {
      const auto named = [&](const Field& f) { return f.name == kNames[c]; };
      const auto f = std::ranges::find_if(header_.fields, named);
      if (f == header_.fields.end() || f->count != 1 ||
          std::ranges::count_if(header_.fields, named) > 1)
        refuse(input_, std::string("the PCD header has no single field \"") + kNames[c] + "\"");
      header_.xyz[c] = static_cast<std::size_t>(f - header_.fields.begin());
    }
  }

  const SourceInput& input_;
  HeaderLines lines_;
  PcdHeader header_;
  bool points_seen_ = false;
};

Numeric numeric_of(const Field& field) {
  if (field.type == 'F') return field.size == 4 ? Numeric::f32 : Numeric::f64;
  const bool sign = field.type == 'I';
  switch (field.size) {
    case 1:
      return sign ? Numeric::i8 : Numeric::u8;
    case 2:
      return sign ? Numeric::i16 : Numeric::u16;
    case 4:
      return sign ? Numeric::i32 : Numeric::u32;
    default:
      return sign ? Numeric::i64 : Numeric::u64;
  }
}

ScalarType scalar_of(const PcdHeader& header) {
  bool all_float = true, any_double = false;
  for (const std::size_t f : header.xyz) {
    const Numeric type = numeric_of(header.fields[f]);
    all_float &= type == Numeric::f32;
    any_double |= type == Numeric::f64;
  }
  if (all_float) return ScalarType::float32;
  return any_double ? ScalarType::float64 : ScalarType::integer;
}

PointTable read_ascii(const SourceInput& input, const PcdHeader& header, std::uint64_t& trailing) {
  if (header.points > input.bytes->size()) refuse_truncated(input, header.points, 0);
  std::array<std::size_t, 3> columns{};
  std::size_t least = 0;
  for (std::size_t f = 0; f < header.fields.size(); ++f) {
    for (int c = 0; c < 3; ++c)
      if (header.xyz[c] == f) columns[c] = least;
    least += header.fields[f].count;
  }
  const auto parsed = parse_lines(input,
                                  header.body,
                                  RowWindow{.count = header.points},
                                  [&](std::string_view line, ChunkResult& out) {
                                    out.point(parse_columns(line, columns, least));
                                  });
  if (parsed.points < header.points) refuse_truncated(input, header.points, parsed.points);
  trailing = parsed.rows - header.points;
  return parsed.table();
}

PointTable read_binary(const SourceInput& input, const PcdHeader& header, std::uint64_t& trailing) {
  const std::uint64_t stride = header.stride();
  const std::uint64_t left = input.bytes->size() - header.body;
  if (header.points > left / stride) refuse_truncated(input, header.points, left / stride);
  trailing = left - header.points * stride;
  PointTable points{.bytes = input.bytes, .start = header.body, .count = header.points};
  points.layout.stride = static_cast<std::uint32_t>(stride);
  for (int c = 0; c < 3; ++c) {
    points.layout.offset[c] = static_cast<std::uint32_t>(header.offset(header.xyz[c]));
    points.layout.type[c] = numeric_of(header.fields[header.xyz[c]]);
  }
  return points;
}

/// Unpacked, the fields lie one after the other, each for all points; only x, y, z are kept, point
/// by point.
PointTable read_compressed(const SourceInput& input,
                           const PcdHeader& header,
                           std::uint64_t& trailing) {
  const std::uint64_t left = input.bytes->size() - header.body;
  std::uint32_t sizes[2] = {0, 0};
  if (left < sizeof sizes) refuse_truncated(input, header.points, 0);
  input.bytes->read(header.body, sizes, sizeof sizes);
  const auto [packed_size, size] = sizes;
  const std::uint64_t wanted = saturated_product(header.points, header.stride());
  if (wanted != size) refuse_truncated(input, header.points, size / header.stride());
  if (packed_size > left - sizeof sizes)
    refuse_truncated(input, packed_size, left - sizeof sizes, "compressed bytes");
  // Three bytes of LZF give at most 264: a larger promise is a lie.
  if (size / 88 > packed_size) refuse(input, "the compressed data cannot hold what they promise");
  // What is kept takes up to as much again. Inside gzip, the two ratios multiply.
  if (2 * std::uint64_t{size} > most_unpacked(input.on_disk))
    refuse(input,
           "unpacks to " + std::to_string(size >> 20) + " MiB from " +
               std::to_string(input.on_disk) + " bytes, which no scan does",
           "Export it as plain PCD and look at what is inside.");
  const auto packed = std::make_unique_for_overwrite<char[]>(packed_size + 1);
  const auto fields = std::make_unique_for_overwrite<char[]>(std::size_t{size} + 1);
  input.bytes->read(header.body + sizeof sizes, packed.get(), packed_size);
  if (size > 0 && lzf_decompress(packed.get(), packed_size, fields.get(), size) != size)
    refuse(input, "the compressed data are damaged");
  trailing = left - sizeof sizes - packed_size;

  PointTable points{.count = header.points};
  Layout& layout = points.layout;
  layout.stride = 0;
  for (int c = 0; c < 3; ++c) {
    layout.type[c] = numeric_of(header.fields[header.xyz[c]]);
    layout.offset[c] = layout.stride;
    layout.stride += static_cast<std::uint32_t>(size_of(layout.type[c]));
  }
  auto kept = std::make_shared<MemoryBytes>();
  static constexpr std::uint64_t kPiece = 1u << 16;
  for (std::uint64_t from = 0; from < header.points; from += kPiece) {
    const std::uint64_t n = std::min(kPiece, header.points - from);
    auto piece = std::make_unique_for_overwrite<char[]>(n * layout.stride);
    for (int c = 0; c < 3; ++c) {
      const std::size_t width = size_of(layout.type[c]);
      const char* column =
          fields.get() + header.offset(header.xyz[c]) * header.points + from * width;
      for (std::uint64_t i = 0; i < n; ++i)
        std::memcpy(piece.get() + i * layout.stride + layout.offset[c], column + i * width, width);
    }
    kept->append(std::move(piece), n * layout.stride);
  }
  points.bytes = kept;
  return points;
}

}  // namespace

Source read_pcd(const SourceInput& input) {
  const PcdHeader header = Parser(input).run();
  Source source;
  ScanFacts& facts = source.facts;
  if (header.data == "ascii") {
    facts.format = "PCD ASCII";
    source.points = read_ascii(input, header, facts.trailing);
  } else if (header.data == "binary") {
    facts.format = "PCD binary";
    facts.scalar = scalar_of(header);
    source.points = read_binary(input, header, facts.trailing);
  } else if (header.data == "binary_compressed") {
    facts.format = "PCD binary compressed";
    facts.scalar = scalar_of(header);
    source.points = read_compressed(input, header, facts.trailing);
  } else {
    refuse(input, "unknown PCD data " + shown(header.data));
  }
  if (header.height > 1) {
    facts.columns = header.width;
    facts.rows = header.height;
  }
  facts.comments = header.comments;
  return source;
}

}  // namespace rigproof
