#include <algorithm>
#include <bit>
#include <cmath>
#include <cstring>
#include <random>

#include "scan/lines.h"

namespace rigproof {
namespace {

/// Corners that have been met, by exact equality of the three coordinates (0 equals −0); open
/// addressing over the kept corners themselves.
template <class T>
class CornerSet {
 public:
  /// Keeps a new corner, or counts one that is there already. Non-finite ones never merge.
  void add(T x, T y, T z) {
    const T corner[3] = {x + T{0}, y + T{0}, z + T{0}};  // −0 + 0 = +0
    if (!(std::isfinite(x) && std::isfinite(y) && std::isfinite(z))) return keep(corner);
    if (2 * (size() + 1) > slots_.size()) grow();
    for (std::size_t slot = hash(corner) & mask();; slot = (slot + 1) & mask()) {
      if (slots_[slot] == 0) {
        keep(corner);
        slots_[slot] = size();
        return;
      }
      if (std::equal(corner, corner + 3, &kept_[3 * (slots_[slot] - 1)])) {
        ++merged_;
        return;
      }
    }
  }
  std::size_t size() const { return kept_.size() / 3; }
  std::uint64_t merged() const { return merged_; }
  const std::vector<T>& kept() const { return kept_; }

 private:
  std::size_t mask() const { return slots_.size() - 1; }
  void keep(const T* corner) { kept_.insert(kept_.end(), corner, corner + 3); }

  std::uint64_t hash(const T* corner) const {
    using Bits = std::conditional_t<sizeof(T) == 4, std::uint32_t, std::uint64_t>;
    std::uint64_t h = salt_;
    for (int c = 0; c < 3; ++c) {
      h ^= std::bit_cast<Bits>(corner[c]);
      h *= 0x9E3779B97F4A7C15u;
      h ^= h >> 32;
    }
    h *= 0x9E3779B97F4A7C15u;
    return h ^ h >> 29;
  }

  void grow() {
    slots_.assign(std::max<std::size_t>(1024, 2 * slots_.size()), 0);
    for (std::size_t i = 0; i < size(); ++i) {
      const T* corner = &kept_[3 * i];
      if (!(std::isfinite(corner[0]) && std::isfinite(corner[1]) && std::isfinite(corner[2])))
        continue;
      std::size_t slot = hash(corner) & mask();
      while (slots_[slot] != 0) slot = (slot + 1) & mask();
      slots_[slot] = i + 1;
    }
  }

  std::vector<T> kept_;
  std::vector<std::uint64_t> slots_;  // index + 1 of a kept corner; 0: free
  std::uint64_t merged_ = 0;
  // No file can choose corners that all want the same place. What is kept, and in which order, does
  // not depend on it.
  std::uint64_t salt_ = std::random_device()();
};

template <class T>
Source source_of(const CornerSet<T>& corners, Numeric type, std::uint64_t faces) {
  auto bytes = std::make_shared<MemoryBytes>();
  bytes->append_copy(corners.kept().data(), corners.kept().size() * sizeof(T));
  Source source;
  source.points = {.bytes = bytes, .count = corners.size(), .layout = Layout::packed(type)};
  source.facts.faces = faces;
  source.facts.merged = corners.merged();
  return source;
}

void parse(std::string_view line, ChunkResult& out) {
  enum { kFacets, kEndFacets, kEnds };
  std::string_view rest = line;
  const std::string word = lower(next_word(rest));
  if (word == "vertex") return out.point(parse_columns(rest, {0, 1, 2}, 3));
  if (word == "facet")
    ++out.counts[kFacets];
  else if (word == "endfacet")
    ++out.counts[kEndFacets];
  else if (word == "endsolid")
    ++out.counts[kEnds];
  else if (!word.empty() && word != "solid" && word != "outer" && word != "endloop")
    throw LineError(shown(word) + " is no STL keyword");
}

}  // namespace

Source read_stl_binary(const SourceInput& input) {
  static constexpr std::uint64_t kHead = 84, kTriangle = 50;
  if (input.bytes->size() < kHead) refuse(input, "is too short for a binary STL");
  std::uint32_t triangles = 0;
  std::memcpy(&triangles, input.head.data() + 80, 4);
  const std::uint64_t there = (input.bytes->size() - kHead) / kTriangle;
  if (triangles > there) refuse_truncated(input, triangles, there, "triangles");
  CornerSet<float> corners;
  ByteCursor cursor(*input.bytes, kHead);
  for (std::uint32_t t = 0; t < triangles; ++t) {
    float corner[9];
    std::memcpy(corner, cursor.take(kTriangle) + 12, sizeof corner);
    for (int c = 0; c < 9; c += 3) corners.add(corner[c], corner[c + 1], corner[c + 2]);
  }
  Source source = source_of(corners, Numeric::f32, triangles);
  source.facts.format = "STL binary";
  source.facts.scalar = ScalarType::float32;
  source.facts.trailing = cursor.left();
  const std::string_view title = std::string_view(input.head).substr(0, 80);
  if (const auto text = trim(title.substr(0, title.find('\0'))); !text.empty())
    source.facts.comments.emplace_back(text);
  return source;
}

Source read_stl_ascii(const SourceInput& input) {
  const auto parsed = parse_lines(input, 0, {}, parse);
  const auto [facets, ended, ends, unused] = parsed.counts;
  if (facets != ended || parsed.points != 3 * facets || ends == 0)
    refuse_truncated(input, facets, std::min(ended, parsed.points / 3), "triangles");
  CornerSet<double> corners;
  ByteCursor cursor(*parsed.xyz, 0);
  for (std::uint64_t i = 0; i < parsed.points; ++i) {
    double corner[3];
    std::memcpy(corner, cursor.take(sizeof corner), sizeof corner);
    corners.add(corner[0], corner[1], corner[2]);
  }
  Source source = source_of(corners, Numeric::f64, facets);
  source.facts.format = "STL ASCII";
  HeaderLines lines(input.head);
  std::string_view title;
  lines.next(title);
  next_word(title);
  if (!trim(title).empty()) source.facts.comments.emplace_back(trim(title));
  return source;
}

}  // namespace rigproof
