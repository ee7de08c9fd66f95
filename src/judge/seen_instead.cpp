#include <algorithm>
#include <cmath>

#include "base/number.h"
#include "judge/scan_gates.h"
#include "judge/unit_hint.h"

// What a scan shows in which no artefact was found: the same in another unit, or a wall.

namespace rigproof {
namespace {

constexpr double kGiant = 2;        // times the nominal radius
constexpr double kLeastCap = 22;    // degrees; a smaller part of a sphere is no ball
constexpr double kPlateSide = 0.1;  // a torn rim; both sides must tell the same

std::string mm(double value) { return fixed(value, 3) + " mm"; }

struct UnitSearch {
  const Sighting& sighting;
  double unit_mm;
  const std::string& scan;

  std::optional<Finding> by_diameter(const Artefact& a) const {
    for (const ArtefactBall& b : a.balls)
      for (const BallSighting& seen : sighting.others) {
        if (seen.cap_half_angle_deg < kLeastCap) continue;
        if (auto unit = unit_mismatch("ball", 2 * seen.sphere.radius, b.diameter.mm, unit_mm, scan))
          return unit;
      }
    return std::nullopt;
  }

  /// Distances of balls whose size is not known; where it is, the size tells.
  std::optional<Finding> by_distance(const Artefact& a) const {
    if (std::ranges::any_of(a.balls, [](const auto& b) { return b.diameter.mm > 0; }))
      return std::nullopt;
    std::vector<Vec3> at;
    for (const auto& list : {sighting.balls, sighting.others})
      for (const BallSighting& ball : list)
        if (ball.cap_half_angle_deg >= kLeastCap) at.push_back(ball.sphere.center);
    for (const ArtefactDistance& d : a.distances)
      for (std::size_t i = 0; i < at.size(); ++i)
        for (std::size_t j = i + 1; j < at.size(); ++j)
          if (auto unit = unit_mismatch("distance of the balls of " + a.serial,
                                        (at[i] - at[j]).norm(),
                                        d.length.mm,
                                        unit_mm,
                                        scan))
            return unit;
    return std::nullopt;
  }

  std::optional<Finding> by_sides(const Artefact& a) const {
    if (a.kind != ArtefactKind::plate) return std::nullopt;
    const double longer = std::max(a.length_mm, a.width_mm);
    const double shorter = std::min(a.length_mm, a.width_mm);
    for (const PlateSighting& p : sighting.plates) {
      const auto one = unit_hint(p.length_mm, longer, unit_mm, kPlateSide);
      const auto other = unit_hint(p.width_mm, shorter, unit_mm, kPlateSide);
      if (one && other && one->unit == other->unit)
        return unit_mismatch(
            "longer side of " + a.serial, p.length_mm, longer, unit_mm, scan, kPlateSide);
    }
    return std::nullopt;
  }
};

}  // namespace

std::optional<Finding> what_else_was_seen(const Sighting& sighting,
                                          const std::vector<Artefact>& artefacts,
                                          double unit_mm,
                                          const std::string& scan) {
  const UnitSearch search{sighting, unit_mm, scan};
  double largest = 0;
  for (const Artefact& a : artefacts) {
    for (const auto& found : {search.by_diameter(a), search.by_distance(a), search.by_sides(a)})
      if (found) return found;
    for (const ArtefactBall& b : a.balls) largest = std::max(largest, b.diameter.mm);
  }
  if (!(largest > 0) || sighting.others.empty()) return std::nullopt;
  const double radius = sighting.others.front().sphere.radius;
  if (radius <= kGiant * largest / 2) return std::nullopt;
  return make_finding("giant-sphere", {{"radius", mm(radius)}}, scan);
}

std::optional<Finding> unit_mismatch(const std::string& what,
                                     double measured_mm,
                                     double nominal_mm,
                                     double unit_mm,
                                     const std::string& scan,
                                     double within) {
  const auto hint = unit_hint(measured_mm, nominal_mm, unit_mm, within);
  if (!hint) return std::nullopt;
  return make_finding(
      "unit-mismatch",
      {{"what", what},
       {"measured", mm(measured_mm)},
       {"nominal", mm(nominal_mm)},
       {"factor", hint->words},
       {"unit", hint->name},
       {"command", "--units " + hint->unit + ", or units = \"" + hint->unit + "\" in rig.toml"}},
      scan);
}

}  // namespace rigproof
