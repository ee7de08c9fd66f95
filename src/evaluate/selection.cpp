#include "evaluate/selection.h"

#include <algorithm>

#include "fit/blocks.h"

namespace rigproof {

std::size_t count_code(const ZoneCodes& codes, std::uint8_t code) {
  return static_cast<std::size_t>(std::count(codes.begin(), codes.end(), code));
}

void select(const Points& from, const ZoneCodes& codes, std::uint8_t least, Points& into) {
  const std::size_t blocks = (codes.size() + kBlock - 1) / kBlock;
  std::vector<std::size_t> first(blocks + 1, 0);
  for_blocks(codes.size(), 0, [&](std::size_t begin, std::size_t end, std::size_t b) {
    std::size_t n = 0;
    for (std::size_t i = begin; i < end; ++i) n += codes[i] >= least;
    first[b + 1] = n;
  });
  for (std::size_t b = 0; b < blocks; ++b) first[b + 1] += first[b];

  into.origin = from.origin;
  into.x.resize(first[blocks]);
  into.y.resize(first[blocks]);
  into.z.resize(first[blocks]);
  for_blocks(codes.size(), 0, [&](std::size_t begin, std::size_t end, std::size_t b) {
    std::size_t to = first[b];
    for (std::size_t i = begin; i < end; ++i) {
      if (codes[i] < least) continue;
      into.x[to] = from.x[i];
      into.y[to] = from.y[i];
      into.z[to] = from.z[i];
      ++to;
    }
  });
}

Points points_of(const Points& from, const ZoneCodes& codes, std::uint8_t code) {
  Points out;
  out.origin = from.origin;
  for (std::size_t i = 0; i < codes.size(); ++i)
    if (codes[i] == code) out.push_local(from.x[i], from.y[i], from.z[i]);
  return out;
}

Points thinned(const Points& from, std::size_t most) {
  Points out;
  out.origin = from.origin;
  const std::size_t n = from.size(), kept = std::min(n, most);
  out.reserve(kept);
  for (std::size_t k = 0; k < kept; ++k) {
    const std::size_t i = k * n / kept;
    out.push_local(from.x[i], from.y[i], from.z[i]);
  }
  return out;
}

bool same_selection(const ZoneCodes& a, const ZoneCodes& b, std::uint8_t least) {
  if (a.size() != b.size()) return false;
  std::size_t different = 0;
  for (std::size_t i = 0; i < a.size(); ++i) different += (a[i] >= least) != (b[i] >= least);
  return different == 0;
}

}  // namespace rigproof
