#pragma once

#include <cstdint>
#include <vector>

#include "geometry/points.h"

namespace rigproof {

/// Where a point lies to a zone. Ordered, so that "at least" picks a zone.
enum ZoneCode : std::uint8_t {
  outside_zone = 0,
  stray = 1,   ///< between one and `stray_gates` gates, inside the cap or working area
  wide = 2,    ///< only in the zone widened for the zone-choice term
  zone = 3,    ///< in the evaluation zone
  narrow = 4,  ///< also in the narrowed zone
};
using ZoneCodes = std::vector<std::uint8_t>;  // one a point

std::size_t count_code(const ZoneCodes& codes, std::uint8_t code);
/// The points of code `least` or more, in order. `into` is overwritten; its memory is used again.
void select(const Points& from, const ZoneCodes& codes, std::uint8_t least, Points& into);
/// The points of exactly this code, in order.
Points points_of(const Points& from, const ZoneCodes& codes, std::uint8_t code);
/// At most `most` points, evenly spread in order.
Points thinned(const Points& from, std::size_t most);
/// Whether the same points have code `least` or more.
bool same_selection(const ZoneCodes& a, const ZoneCodes& b, std::uint8_t least);

}  // namespace rigproof
