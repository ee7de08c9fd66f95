#include "judge/positions.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "inputs/artefact_shape.h"

namespace rigproof {
namespace {

constexpr double kZoneHalf = 1.0 / 3;  // half a zone in normalised coordinates
constexpr double kTurned = 25;         // degrees; half of what separates planned directions
constexpr double kClusterShare = 0.7;
constexpr int kClusterLeast = 5;

bool parallel(const Vec3& a, const Vec3& b, double degrees) { return angle_deg(a, b) <= degrees; }

int distinct_balls(const std::vector<Vec3>& centers, double tolerance) {
  std::vector<Vec3> kept;
  for (const Vec3& c : centers)
    if (std::ranges::none_of(kept, [&](const Vec3& k) { return (k - c).norm() <= tolerance; }))
      kept.push_back(c);
  return static_cast<int>(kept.size());
}

std::optional<std::pair<int, int>> closing_pair(const std::vector<PlacedArtefact>& placed,
                                                const SamePlace& tolerance) {
  std::optional<std::pair<int, int>> best;
  const int n = static_cast<int>(placed.size());
  for (int i = 0; i < n; ++i)
    for (int j = i + 2; j < n; ++j) {
      const PlacedArtefact &a = placed[i], &b = placed[j];
      if (a.kind != ArtefactKind::bar || !a.counts || !b.counts || a.serial != b.serial ||
          a.scan == b.scan || !at_same_place(a, b, tolerance))
        continue;
      if (!best || j - i > best->second - best->first) best = {i, j};
    }
  return best;
}

}  // namespace

double angle_deg(const Vec3& a, const Vec3& b) {
  if (!(a.norm() > 0) || !(b.norm() > 0)) return 0;
  const double cosine = std::abs(a.dot(b)) / (a.norm() * b.norm());
  return std::acos(std::min(1.0, cosine)) * 180 / std::numbers::pi;
}

SamePlace SamePlace::for_volume(const Volume* volume) {
  SamePlace s;
  if (volume) s.center_mm = std::min(s.center_mm, 0.03 * volume->diagonal());
  return s;
}

bool at_same_place(const PlacedArtefact& a, const PlacedArtefact& b, const SamePlace& tolerance) {
  if (a.kind != b.kind || (a.center - b.center).norm() > tolerance.center_mm) return false;
  return a.kind == ArtefactKind::ball ||
         parallel(a.direction, b.direction, tolerance.direction_deg);
}

Positions count_positions(const std::vector<PlacedArtefact>& placed,
                          bool bar_balls_are_positions,
                          const SamePlace& tolerance) {
  Positions p;
  std::vector<Vec3> balls;
  for (std::size_t i = 0; i < placed.size(); ++i) {
    const PlacedArtefact& a = placed[i];
    p.first_at.push_back(-1);
    if (!a.counts) continue;
    std::size_t first = 0;
    while (first < i && (p.first_at[first] < 0 || !at_same_place(placed[first], a, tolerance)))
      ++first;
    p.first_at[i] = static_cast<int>(first);
    if (a.kind == ArtefactKind::bar && bar_balls_are_positions)
      balls.insert(balls.end(), a.touches.begin(), a.touches.end());
    if (a.kind == ArtefactKind::ball) balls.push_back(a.center);
    if (first != i) continue;
    p.bars += a.kind == ArtefactKind::bar;
    p.plates += a.kind == ArtefactKind::plate;
  }
  p.balls = distinct_balls(balls, tolerance.center_mm);
  p.closing = closing_pair(placed, tolerance);
  return p;
}

std::vector<int> match_positions(const std::vector<PlanEntry>& planned,
                                 const std::vector<PlacedArtefact>& placed,
                                 const Volume& volume) {
  struct Match {
    double cost;
    std::size_t plan, artefact;
  };
  std::vector<Match> matches;
  for (std::size_t i = 0; i < planned.size(); ++i)
    for (std::size_t j = 0; j < placed.size(); ++j) {
      const PlanEntry& plan = planned[i];
      if (plan.closing || placed[j].kind != plan.kind || !placed[j].counts) continue;
      const Vec3 where(plan.center[0], plan.center[1], plan.center[2]);
      const double off = (volume.normalized(placed[j].center) - where).cwiseAbs().maxCoeff();
      double turned = 0;
      if (plan.direction && plan.kind != ArtefactKind::ball)
        turned = angle_deg(placed[j].direction, direction_in(volume, plan.kind, *plan.direction));
      // A procedure says "as far as the bar can lean"; a plan knows how far that is.
      if (off > kZoneHalf || (!plan.serial.empty() && turned > kTurned)) continue;
      const double other = plan.serial.empty() || plan.serial == placed[j].serial ? 0 : 1;
      matches.push_back({off / kZoneHalf + turned / kTurned + other, i, j});
    }
  std::ranges::stable_sort(matches, {}, &Match::cost);
  std::vector<int> filled(planned.size(), -1);
  std::vector<bool> used(placed.size(), false);
  for (const Match& m : matches)
    if (filled[m.plan] < 0 && !used[m.artefact]) {
      filled[m.plan] = static_cast<int>(m.artefact);
      used[m.artefact] = true;
    }
  return filled;
}

std::vector<std::string> missing_positions(const std::vector<PlanEntry>& planned,
                                           ArtefactKind kind,
                                           const std::vector<PlacedArtefact>& placed,
                                           const Volume& volume) {
  const std::vector<int> filled = match_positions(planned, placed, volume);
  std::vector<std::string> missing;
  for (std::size_t i = 0; i < planned.size(); ++i)
    if (planned[i].kind == kind && !planned[i].closing && filled[i] < 0)
      missing.push_back(planned[i].place.empty() ? planned[i].id
                                                 : planned[i].id + ", " + planned[i].place);
  return missing;
}

std::optional<Finding> clustered(const std::vector<PlacedArtefact>& placed,
                                 const Positions& positions,
                                 const Volume& volume) {
  static const std::array<std::array<const char*, 3>, 3> kThirds{
      {{"left", "middle (left to right)", "right"},
       {"top", "middle (top to bottom)", "bottom"},
       {"near", "middle (near to far)", "far"}}};
  std::array<std::array<double, 3>, 3> share{};
  int places = 0;
  for (std::size_t i = 0; i < placed.size(); ++i) {
    if (positions.first_at[i] != static_cast<int>(i)) continue;
    ++places;
    const auto& a = placed[i];
    const std::vector<Vec3> reached = a.touches.empty() ? std::vector<Vec3>{a.center} : a.touches;
    for (const Vec3& p : reached) {
      const Vec3 n = volume.normalized(p);
      for (int axis = 0; axis < 3; ++axis) {
        const int third = n[axis] < -1.0 / 3 ? 0 : n[axis] > 1.0 / 3 ? 2 : 1;
        share[axis][third] += 1 / static_cast<double>(reached.size());
      }
    }
  }
  if (places < kClusterLeast) return std::nullopt;
  for (int axis = 0; axis < 3; ++axis)
    for (int third = 0; third < 3; ++third)
      if (share[axis][third] > kClusterShare * places)
        return make_finding("clustered",
                            {{"share",
                              fmt::format("{:.0f} % of what {} positions reach",
                                          100 * share[axis][third] / places,
                                          places)},
                             {"where", kThirds[axis][third]}});
  return std::nullopt;
}

}  // namespace rigproof
