#include "judge/places.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "base/number.h"

namespace rigproof {
namespace {

constexpr double kBorder = 0.05;     // of a normalised coordinate
constexpr double kDepthShare = 0.2;  // of the best sensitivity to scale across the view
constexpr double kCoarsest = 1e5;    // ppm that are worth saying
constexpr double kShortest = 0.3;    // of the space diagonal (method, section 3)

/// −1, 0, 1 along width, height and depth, as a zone's id names them.
using Cell = std::array<int, 3>;

std::optional<Cell> cell_of(const Volume& volume, const std::string& id) {
  const auto& ids = all_zone_ids();
  if (std::ranges::find(ids, id) == ids.end()) return std::nullopt;
  const Vec3 n = volume.normalized(zone_center(volume, id));
  Cell cell{};
  for (std::size_t i = 0; i < 3; ++i) {
    const double c = n[static_cast<int>(i)];
    cell[i] = c < -1.0 / 3 ? -1 : c > 1.0 / 3 ? 1 : 0;
  }
  return cell;
}

bool may_be(double coordinate, int third) {
  const double low = third == 0 ? -1.0 / 3 : third > 0 ? 1.0 / 3 : -1e300;
  const double high = third == 0 ? 1.0 / 3 : third < 0 ? -1.0 / 3 : 1e300;
  return coordinate > low - kBorder && coordinate < high + kBorder;
}

bool lies_in(const Vec3& n, const Cell& cell) {
  return may_be(n.x(), cell[0]) && may_be(n.y(), cell[1]) && may_be(n.z(), cell[2]);
}

Finding mirrored(const std::vector<const NamedPlace*>& flipped, const Volume& volume) {
  const NamedPlace& first = *flipped.front();
  const std::string detail =
      flipped.size() == 1
          ? fmt::format("{} was named {} and lies at {}, and its rows run the other way",
                        first.scan,
                        first.named,
                        zone_id(volume, first.found))
          : fmt::format(
                "all {} scans named to one side lie on the other, {} first (named {}, "
                "found at {})",
                flipped.size(),
                first.scan,
                first.named,
                zone_id(volume, first.found));
  return make_finding("mirrored", {{"detail", detail}});
}

}  // namespace

std::vector<Finding> place_findings(const std::vector<NamedPlace>& places, const Volume& volume) {
  std::vector<const NamedPlace*> flipped;
  std::vector<Finding> relabelled;
  bool kept_side = false, reversed = false;
  for (const NamedPlace& p : places) {
    const auto cell = cell_of(volume, p.named);
    if (!cell) continue;
    const Vec3 n = volume.normalized(p.found);
    if (lies_in(n, *cell)) {
      kept_side = kept_side || (*cell)[0] != 0;
      continue;
    }
    if ((*cell)[0] != 0 && lies_in({-n.x(), n.y(), n.z()}, *cell)) {
      flipped.push_back(&p);
      reversed = reversed || p.hand < 0;
    }
    relabelled.push_back(
        make_finding("place-relabelled",
                     {{"scan", p.scan}, {"named", p.named}, {"found", zone_id(volume, p.found)}},
                     p.scan));
  }
  if (!kept_side && (flipped.size() >= 2 || (flipped.size() == 1 && reversed)))
    return {mirrored(flipped, volume)};
  return relabelled;
}

std::optional<Finding> direction_missing(const std::vector<PlacedArtefact>& placed,
                                         const Volume& volume,
                                         double limit_mm) {
  double depth = 0, across = 0, lean = 0, ball = 0;
  for (const PlacedArtefact& p : placed) {
    if (p.kind != ArtefactKind::bar || !p.counts || p.touches.size() < 2) continue;
    const Vec3 d = p.touches.back() - p.touches.front();
    const double length = d.norm(), sine = std::abs(d.z()) / length;
    depth = std::max(depth, length * sine * sine);
    across = std::max(across, length * (1 - sine * sine));
    lean = std::max(lean, std::asin(std::min(1.0, sine)));
    ball = std::max(ball, p.ball_radius);
  }
  if (!(across > 0) || depth >= kDepthShare * across) return std::nullopt;
  const double longest = volume.far_mm - volume.near_mm - 2 * ball;
  const double shortest = kShortest * volume.diagonal();
  const double ppm = depth > 0 ? 1e6 * limit_mm / depth : kCoarsest;
  return make_finding(
      "direction-missing",
      {{"lean", fixed(lean * 180 / std::numbers::pi, 0)},
       {"ppm", ppm < kCoarsest ? fixed(ppm, 0) + " ppm" : std::string("no better than 10 %")},
       {"bar",
        shortest < longest ? fmt::format("{:.0f}–{:.0f} mm", shortest, longest)
                           : fmt::format("about {:.0f} mm", longest)}});
}

}  // namespace rigproof
