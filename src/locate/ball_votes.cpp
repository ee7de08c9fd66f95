#include "locate/ball_votes.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace rigproof {
namespace {

constexpr double kVoteEdge = 0.25;  // of the vote lattice, in radii
constexpr double kLeastVotes = 3;
constexpr std::size_t kMostStarts = 64;

struct Votes {
  Points centers;
  std::vector<double> radii;
};

/// Peaks of the votes pooled over 3×3×3 cells of `edge`.
void add_peaks(const Votes& votes, double edge, std::vector<BallStart>& starts) {
  if (votes.centers.empty()) return;
  const CellGrid grid(votes.centers, edge, Vec3::Zero(), 1);
  std::vector<double> pooled(grid.size(), 0);
  for (std::size_t c = 0; c < grid.size(); ++c)
    grid.for_neighbours(c, [&](std::size_t o, int, int, int) { pooled[c] += grid.moments(o).n; });
  for (std::size_t c = 0; c < grid.size(); ++c) {
    if (pooled[c] < kLeastVotes) continue;
    bool peak = true;
    grid.for_neighbours(c, [&](std::size_t o, int dx, int dy, int dz) {
      // Of equal neighbours the lowest address is the peak.
      const bool before = std::array{dx, dy, dz} < std::array{0, 0, 0};
      if (pooled[o] > pooled[c] || (pooled[o] == pooled[c] && before)) peak = false;
    });
    if (!peak) continue;
    BallStart start;
    start.votes = pooled[c];
    grid.for_neighbours(c, [&](std::size_t o, int, int, int) {
      for (std::uint32_t k = grid.item_begin(o); k < grid.item_begin(o + 1); ++k) {
        start.sphere.center += votes.centers.local(grid.items()[k]);
        start.sphere.radius += votes.radii[grid.items()[k]];
      }
    });
    start.sphere.center /= pooled[c];
    start.sphere.radius /= pooled[c];
    starts.push_back(start);
  }
}

void strongest_first(std::vector<BallStart>& starts) {
  std::ranges::sort(starts, [](const BallStart& a, const BallStart& b) {
    if (a.votes != b.votes) return a.votes > b.votes;
    const Vec3 &p = a.sphere.center, &q = b.sphere.center;
    return std::array{p.x(), p.y(), p.z()} < std::array{q.x(), q.y(), q.z()};
  });
  if (starts.size() > kMostStarts) starts.resize(kMostStarts);
}

/// +1: the centre lies on the side of +normal; −1 the other; 0 unknown.
int side_of_center(const Patch& patch, const std::optional<Vec3>& sensor) {
  if (sensor) return patch.normal.dot(*sensor - patch.mean) > 0 ? -1 : 1;
  if (std::abs(patch.bend) > 2 * patch.u_bend) return patch.bend > 0 ? 1 : -1;
  return 0;
}

void vote(const Patch& patch, int side, double radius, Votes& votes) {
  // The mean of a patch lies inside its sphere by the mean sagitta.
  const double depth = radius - 0.5 * patch.spread / radius;
  const Vec3 c = patch.mean + side * depth * patch.normal;
  votes.centers.push_local(c.x(), c.y(), c.z());
  votes.radii.push_back(radius);
}

}  // namespace

std::vector<BallStart> vote_for_radius(const SceneLevel& level,
                                       const std::optional<Vec3>& sensor,
                                       double radius,
                                       double tolerance) {
  // Curvature of a patch in units of 1/radius: 1 on the ball, 0.5 on a cylinder of its size.
  // Half-empty patches misjudge it by up to a factor of about two.
  constexpr double kLeastCurvature = 0.45, kMostCurvature = 2.0, kSure = 2.5;
  Votes votes;
  for (const Patch& patch : level.patches) {
    if (!patch.valid()) continue;
    const int side = side_of_center(patch, sensor);
    const double u = 2 * patch.u_bend * radius;
    for (int s : {-1, 1}) {
      if (side != 0 && s != side) continue;
      const double curvature = s * patch.curvature() * radius;
      if (curvature < kLeastCurvature - kSure * u || curvature > kMostCurvature + kSure * u)
        continue;
      // Mean of the expected 1 ± tolerance/2 and the measured curvature, weighted by certainty.
      const double expected = 4 / (tolerance * tolerance);
      const double measured = 1 / (u * u + 0.01);
      const double mean = (expected + measured * curvature) / (expected + measured);
      vote(patch, s, radius / std::clamp(mean, 1 / (1 + tolerance), 1 / (1 - tolerance)), votes);
    }
  }
  std::vector<BallStart> starts;
  add_peaks(votes, kVoteEdge * radius, starts);
  strongest_first(starts);
  return starts;
}

std::vector<BallStart> vote_for_any_radius(const SceneLevel& level,
                                           const std::optional<Vec3>& sensor,
                                           double most_edges) {
  // Patches reach 1.5 edges: smaller spheres do not fit in.
  constexpr double kLeast = 1.2, kSignificant = 4;
  const double edge = level.grid.edge();
  std::map<int, Votes> octaves;
  for (const Patch& patch : level.patches) {
    if (!patch.valid() || std::abs(patch.bend) < kSignificant * patch.u_bend) continue;
    const int side = patch.bend > 0 ? 1 : -1;
    if (sensor && side != side_of_center(patch, sensor)) continue;  // hollow
    const double depth = std::abs(0.5 / patch.bend);
    const double radius = 0.5 * (depth + std::sqrt(depth * depth + 2 * patch.spread));
    if (radius < kLeast * edge || radius > most_edges * edge) continue;
    const double octave = 2 * std::log2(radius);
    const int own = static_cast<int>(std::floor(octave));
    vote(patch, side, radius, octaves[own]);
    vote(patch, side, radius, octaves[octave - own > 0.5 ? own + 1 : own - 1]);
  }
  std::vector<BallStart> starts;
  for (const auto& [octave, votes] : octaves)
    add_peaks(votes, kVoteEdge * std::exp2(0.5 * octave + 0.25), starts);
  strongest_first(starts);
  return starts;
}

}  // namespace rigproof
