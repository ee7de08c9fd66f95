#include "scan/ply_header.h"

#include <algorithm>

#include "scan/text.h"

namespace rigproof {
namespace {

std::optional<Numeric> numeric_of(std::string_view name) {
  struct Name {
    std::string_view name;
    Numeric type;
  };
  static constexpr Name kNames[] = {{"char", Numeric::i8},
                                    {"int8", Numeric::i8},
                                    {"uchar", Numeric::u8},
                                    {"uint8", Numeric::u8},
                                    {"short", Numeric::i16},
                                    {"int16", Numeric::i16},
                                    {"ushort", Numeric::u16},
                                    {"uint16", Numeric::u16},
                                    {"int", Numeric::i32},
                                    {"int32", Numeric::i32},
                                    {"uint", Numeric::u32},
                                    {"uint32", Numeric::u32},
                                    {"int64", Numeric::i64},
                                    {"uint64", Numeric::u64},
                                    {"float", Numeric::f32},
                                    {"float32", Numeric::f32},
                                    {"double", Numeric::f64},
                                    {"float64", Numeric::f64}};
  for (const Name& n : kNames)
    if (n.name == name) return n.type;
  return std::nullopt;
}

class Parser {
 public:
  explicit Parser(const SourceInput& input) : input_(input), lines_(input.head) {}

  PlyHeader run() {
    std::string_view line;
    lines_.next(line);  // "ply", as the caller has seen
    bool format_seen = false;
    for (;;) {
      if (!lines_.next(line)) refuse(input_, "the PLY header does not end with \"end_header\"");
      std::string_view rest = line;
      const std::string_view word = next_word(rest);
      if (word == "end_header") break;
      if (word == "format") {
        format(rest);
        format_seen = true;
      } else if (word == "comment" || word == "obj_info") {
        comment(word == "obj_info", rest);
      } else if (word == "element") {
        element(rest);
      } else if (word == "property") {
        property(rest);
      } else if (!word.empty()) {
        fail(shown(line) + " is no line of a PLY header");
      }
    }
    if (!format_seen) refuse(input_, "the PLY header names no format");
    header_.size = lines_.position();
    find_vertex();
    find_transform();
    return std::move(header_);
  }

 private:
  [[noreturn]] void fail(const std::string& what) { refuse_line(input_, lines_.number(), what); }

  void format(std::string_view rest) {
    const std::string_view name = next_word(rest);
    if (name == "ascii")
      header_.format = PlyHeader::Format::ascii;
    else if (name == "binary_little_endian")
      header_.format = PlyHeader::Format::little;
    else if (name == "binary_big_endian")
      header_.format = PlyHeader::Format::big;
    else
      fail("unknown PLY format " + shown(name));
    if (trim(rest) != "1.0") fail("PLY version " + shown(trim(rest)) + ", only 1.0 is known");
  }

  void comment(bool info, std::string_view rest) {
    if (!rest.empty()) rest.remove_prefix(1);
    header_.comments.emplace_back(rest);
    std::string_view value = rest;
    const std::string_view key = next_word(value);
    std::uint64_t n = 0;
    if (!info || !is_count(trim(value), n)) return;
    if (key == "num_cols") header_.columns = n;
    if (key == "num_rows") header_.rows = n;
  }

  void element(std::string_view rest) {
    PlyElement e;
    e.name = next_word(rest);
    if (e.name.empty() || !is_count(trim(rest), e.count))
      fail("an element needs a name and a count, found " + shown(trim(rest)));
    header_.elements.push_back(std::move(e));
  }

  void property(std::string_view rest) {
    if (header_.elements.empty()) fail("a property before the first element");
    PlyProperty p;
    std::string_view type = next_word(rest);
    if (type == "list") {
      const std::string_view count = next_word(rest);
      p.list_count = numeric_of(count);
      if (!p.list_count || *p.list_count == Numeric::f32 || *p.list_count == Numeric::f64)
        fail("unknown type " + shown(count) + " for the length of a list");
      type = next_word(rest);
    }
    const auto known = numeric_of(type);
    if (!known) fail("unknown property type " + shown(type));
    p.type = *known;
    p.name = trim(rest);
    if (p.name.empty()) fail("a property without a name");
    header_.elements.back().properties.push_back(std::move(p));
  }

  void find_vertex() {
    const auto& all = header_.elements;
    const auto is_vertex = [](const PlyElement& e) { return e.name == "vertex"; };
    const auto at = std::ranges::find_if(all, is_vertex);
    if (at == all.end()) refuse(input_, "the PLY header has no element \"vertex\"");
    if (std::ranges::count_if(all, is_vertex) > 1)
      refuse(input_, "the PLY header has more than one element \"vertex\"");
    header_.vertex = static_cast<std::size_t>(at - all.begin());
    static constexpr const char* kNames[] = {"x", "y", "z"};
    for (int c = 0; c < 3; ++c) {
      const auto named = [&](const PlyProperty& p) { return p.name == kNames[c]; };
      const auto p = std::ranges::find_if(at->properties, named);
      if (p == at->properties.end() || p->list_count)
        refuse(input_, std::string("the vertices have no coordinate \"") + kNames[c] + "\"");
      if (std::ranges::count_if(at->properties, named) > 1)
        refuse(input_, std::string("the vertices have \"") + kNames[c] + "\" twice");
      header_.xyz[c] = static_cast<std::size_t>(p - at->properties.begin());
    }
  }

  /// "comment transform" and 16 numbers, which may go on in the comment lines that follow.
  void find_transform() {
    for (std::size_t i = 0; i < header_.comments.size(); ++i) {
      std::string_view rest = header_.comments[i];
      if (lower(next_word(rest)) != "transform") continue;
      std::vector<double> numbers;
      for (std::size_t line = i;;) {
        for (std::string_view word; !(word = next_word(rest)).empty();) {
          double value = 0;
          if (!is_number(word, value)) return;
          numbers.push_back(value);
        }
        if (numbers.size() >= 16 || ++line == header_.comments.size()) break;
        rest = header_.comments[line];
      }
      if (numbers.size() != 16) return;
      header_.transform.emplace();
      std::ranges::copy(numbers, header_.transform->begin());
      return;
    }
  }

  const SourceInput& input_;
  HeaderLines lines_;
  PlyHeader header_;
};

}  // namespace

bool PlyElement::has_list() const {
  return std::ranges::any_of(properties,
                             [](const PlyProperty& p) { return p.list_count.has_value(); });
}

std::uint64_t PlyElement::fixed_size() const {
  std::uint64_t size = 0;
  for (const PlyProperty& p : properties) size += size_of(p.list_count.value_or(p.type));
  return size;
}

PlyHeader parse_ply_header(const SourceInput& input) { return Parser(input).run(); }

}  // namespace rigproof
