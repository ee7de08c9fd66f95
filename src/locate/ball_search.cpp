#include "locate/ball_search.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "base/threads.h"
#include "locate/ball_check.h"
#include "locate/ball_votes.h"

namespace rigproof {
namespace {

struct Refinement {
  std::size_t points;
  double precision;  // radii
};
constexpr Refinement kRough{400, 1e-4}, kFine{6000, 1e-7};
constexpr double kLooked = 0.35;        // radii about the surface that a fit sees
constexpr double kNormalWithin = 45;    // degrees
constexpr double kCellsARadius = 0.25;  // cell edge
constexpr double kCoarsest = 0.15;      // of the scene: largest cells in the search for any size
// Largest radius in cell edges that patches are asked about: on larger spheres they are flat, and
// coarser cells see them better. The coarsest see gently curved surfaces, to tell of them.
constexpr double kMostEdges = 12, kMostEdgesAtLast = 300;
constexpr double kSame = 0.5;  // centres nearer than this many radii: one ball

struct Candidate {
  BallStart start;
  BallRefined ball;
  BallEvidence evidence;
  Objection objection;
  double nominal_radius = 0;
  int level = 0;  // of the cells that suit its size
  bool checked = false;

  /// Solid angle on which the surface agrees, as a share of the whole sphere.
  double score() const {
    return 0.5 * (1 - std::cos(evidence.half_angle_deg * M_PI / 180)) * evidence.coverage *
           evidence.purity;
  }
};

BallRefined refine_at(const Scene& scene,
                      int level,
                      const SceneLevel& cells,
                      const Sphere& start,
                      double gate,
                      const Refinement& how) {
  SurroundingOptions options;
  options.inner_mm = (1 - kLooked) * start.radius;
  options.outer_mm = (1 + kLooked) * start.radius;
  options.normal_within_deg = kNormalWithin;
  options.most_points = how.points;
  return refine_ball(
      surrounding(scene, level, cells, start.center, options), start.radius, gate, how.precision);
}

bool same_ball(const Sphere& a, const Sphere& b, double share) {
  return (a.center - b.center).norm() < share * std::max(a.radius, b.radius);
}

/// Refines every start roughly, drops repeats, then refines and checks what is left, each at the
/// resolution that suits its size.
std::vector<Candidate> examine(Scene& scene,
                               int level,
                               const std::vector<BallStart>& starts,
                               const BallDemands& demands) {
  std::vector<Candidate> all(starts.size());
  const SceneLevel& cells = scene.level(level);
  parallel_blocks(starts.size(), scene.threads(), [&](std::size_t k, int) {
    all[k].start = starts[k];
    all[k].nominal_radius = demands.nominal_radius;
    all[k].ball = refine_at(scene, level, cells, starts[k].sphere, starts[k].sphere.radius, kRough);
  });
  std::vector<Candidate> kept;
  for (const Candidate& c : all) {
    const bool repeat = std::ranges::any_of(kept, [&](const Candidate& k) {
      return same_ball(k.ball.sphere, c.ball.sphere, 0.1) &&
             std::abs(k.ball.sphere.radius / c.ball.sphere.radius - 1) < 0.05;
    });
    if (c.ball.ok && !repeat) kept.push_back(c);
  }
  const auto suiting = [&](const Candidate& c) {
    return demands.nominal_radius > 0 ? level
                                      : scene.level_for(kCellsARadius * c.ball.sphere.radius);
  };
  for (Candidate& c : kept) scene.level(c.level = suiting(c));  // made here: not from many threads
  parallel_blocks(kept.size(), scene.threads(), [&](std::size_t k, int) {
    Candidate& c = kept[k];
    const SceneLevel& own = scene.made(c.level);
    c.evidence = gather_evidence(scene, c.level, own, c.ball, Look::glance);
    if (is_hopeless(c.ball, c.evidence, demands, scene.sensor())) return;
    // Again with more points about the better centre, from a gate safely wider than the last.
    c.ball = refine_at(scene, c.level, own, c.ball.sphere, 12 * c.ball.scatter, kFine);
    if (!c.ball.ok) return;
    c.evidence = gather_evidence(scene, c.level, own, c.ball, Look::close);
    c.objection = objection(c.ball, c.evidence, demands, scene.sensor());
    c.checked = true;
  });
  std::erase_if(kept, [](const Candidate& c) { return !c.checked; });
  return kept;
}

BallSighting sighting_of(const Candidate& c, const Vec3& origin) {
  BallSighting s;
  s.sphere = {c.ball.sphere.center + origin, c.ball.sphere.radius};
  s.nominal_mm = 2 * c.nominal_radius;
  s.support = c.evidence.support;
  s.scatter_mm = c.evidence.scatter;
  s.view_axis = c.evidence.axis;
  s.cap_half_angle_deg = c.evidence.half_angle_deg;
  return s;
}

std::string words(const Candidate& c, const Vec3& origin) {
  const Vec3 p = c.ball.sphere.center + origin;
  return fmt::format("round surface of radius {:.4g} mm about ({:.1f}, {:.1f}, {:.1f}) mm: {}",
                     c.ball.sphere.radius,
                     p.x(),
                     p.y(),
                     p.z(),
                     c.objection.words);
}

/// How far a radius is from the one asked for; an unasked one is far from all.
double misfit(const Candidate& c) {
  return c.nominal_radius > 0 ? std::abs(std::log(c.ball.sphere.radius / c.nominal_radius)) : 1;
}

/// Accepted balls once each. Of repeats the nearest to a size asked for counts, then the one on
/// which most points lie.
std::vector<Candidate> without_repeats(std::vector<Candidate> candidates) {
  std::ranges::stable_sort(candidates, [](const Candidate& a, const Candidate& b) {
    const double p = misfit(a), q = misfit(b);
    return p != q ? p < q : a.evidence.support > b.evidence.support;
  });
  std::vector<Candidate> kept;
  for (Candidate& c : candidates)
    if (std::ranges::none_of(kept, [&](const Candidate& k) {
          return same_ball(k.ball.sphere, c.ball.sphere, kSame);
        }))
      kept.push_back(std::move(c));
  return kept;
}

void search_known(Scene& scene, const LocateRequest& request, std::vector<Candidate>& candidates) {
  for (double diameter : request.ball_diameters_mm) {
    const double radius = 0.5 * diameter;
    const int index = scene.level_for(kCellsARadius * radius);
    const SceneLevel& cells = scene.level(index);
    const auto starts = vote_for_radius(cells, scene.sensor(), radius, request.diameter_tolerance);
    const auto found = examine(scene, index, starts, {radius, request.diameter_tolerance});
    candidates.insert(candidates.end(), found.begin(), found.end());
  }
}

void search_unknown(Scene& scene, std::vector<Candidate>& candidates) {
  const Box box = trimmed_box(scene.points(), 0.02);
  const double extent = box.empty() ? 0 : (box.hi - box.lo).norm();
  for (int index = 0;; ++index) {
    const SceneLevel& cells = scene.level(index);
    const bool last = cells.grid.edge() > kCoarsest * extent || cells.grid.size() < 8;
    const auto starts =
        vote_for_any_radius(cells, scene.sensor(), last ? kMostEdgesAtLast : kMostEdges);
    const auto found = examine(scene, index, starts, {0, 0});
    candidates.insert(candidates.end(), found.begin(), found.end());
    if (last) break;
  }
}

}  // namespace

BallsFound find_balls(Scene& scene, const LocateRequest& request) {
  std::vector<Candidate> candidates;
  search_known(scene, request, candidates);
  if (request.unknown_balls) search_unknown(scene, candidates);

  std::vector<Candidate> accepted, other_sizes, telling;
  for (Candidate& c : candidates) {
    if (c.objection.words.empty())
      accepted.push_back(std::move(c));
    else if (c.objection.other_size)
      other_sizes.push_back(std::move(c));
    else if (c.objection.telling)
      telling.push_back(std::move(c));
  }
  accepted = without_repeats(std::move(accepted));
  const auto add_unless_seen = [&](std::vector<Candidate>& from, std::vector<Candidate>& to) {
    std::ranges::stable_sort(from, std::ranges::greater{}, &Candidate::score);
    for (Candidate& c : from) {
      const auto same = [&](const Candidate& k) {
        return same_ball(k.ball.sphere, c.ball.sphere, 1);
      };
      if (std::ranges::none_of(accepted, same) && std::ranges::none_of(to, same))
        to.push_back(std::move(c));
    }
  };
  std::vector<Candidate> others, misses;
  add_unless_seen(other_sizes, others);
  misses = others;
  add_unless_seen(telling, misses);

  BallsFound found;
  for (const Candidate& c : accepted) found.balls.push_back(sighting_of(c, scene.points().origin));
  for (const Candidate& c : request.ball_diameters_mm.empty() ? misses : others)
    found.others.push_back(sighting_of(c, scene.points().origin));
  for (const Candidate& c : misses) found.near_misses.push_back(words(c, scene.points().origin));
  return found;
}

}  // namespace rigproof
