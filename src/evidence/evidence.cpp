#include "evidence/evidence.h"

#include <algorithm>
#include <cmath>

#include "base/threads.h"
#include "evidence/quantile.h"
#include "evidence/seen_surface.h"

namespace rigproof {
namespace {

constexpr double kAstray = 4;          // standard deviations: noise has 6 in 100,000 beyond
constexpr double kLeastShare = 0.005;  // of the points, that least_distance is the quantile of
constexpr std::size_t kPatches = 12;
constexpr double kSide = 16;

// Near the smallest distance between neighbours: a low quantile, which no single pair can move.
double least_distance(const SeenSurface& s) {
  std::vector<double> nearest;
  for (const auto& members : patches(s, kSide, kPatches))
    for (const std::uint32_t i : members) {
      double least = 1e300;
      for (const std::uint32_t j : members)
        if (i != j) least = std::min(least, (s.points.local(i) - s.points.local(j)).squaredNorm());
      nearest.push_back(std::sqrt(least));
    }
  if (nearest.size() < 100) return 0;
  const auto k = static_cast<std::ptrdiff_t>(kLeastShare * static_cast<double>(nearest.size()));
  std::nth_element(nearest.begin(), nearest.begin() + k, nearest.end());
  return nearest[static_cast<std::size_t>(k)];
}

double share_astray(const SeenSurface& s, double sd) {
  if (!(sd > 0) || s.points.empty()) return 0;
  std::size_t astray = 0;
  for (std::size_t i = 0; i < s.points.size(); ++i)
    astray += std::abs(s.along_view(i)) > kAstray * sd;
  return static_cast<double>(astray) / static_cast<double>(s.points.size());
}

void look(FeatureEvidence& e, const SeenSurface& s) {
  e.scatter = robust_sd(s.residuals);
  e.noise = local_noise(s);
  e.repeats = repeats(s.points);
  e.least_distance = least_distance(s);
  e.spacing = s.pitch;
  e.tails = tail_histogram(s.residuals);
  e.hand = grid_hand(s);
  e.missing = missing_in_rows(s);
  // Form counts with the noise here: what bends the whole surface is no stray point.
  std::vector<double> along(s.points.size());
  for (std::size_t i = 0; i < along.size(); ++i) along[i] = s.along_view(i);
  e.share_astray = share_astray(s, std::max(e.noise.sd, robust_sd(std::move(along))));
}

template <class Feature>
bool evaluated(const Feature& f) {
  return f.fit.ok() && !f.zone.empty() && f.residuals.size() == f.zone.size();
}

FeatureEvidence look_at(const BallSeen& seen, const std::vector<Vec3>& cameras) {
  const BallFeature& f = seen.ball;
  FeatureEvidence e;
  e.artefact = seen.artefact;
  e.ball = seen.name;
  e.center = f.fit.sphere.center;
  e.axis = seen.axis;
  e.points = f.points;
  e.strays = f.strays;
  e.area = f.noise.area;
  e.range = 2 * f.fit.sphere.radius;
  if (!evaluated(f)) return e;
  look(e, seen_surface(f));
  e.hole = find_hole(f, cameras);
  e.bumps = find_bumps(f, seen.axis);
  return e;
}

}  // namespace

void add_balls(ScanEvidence& to,
               const std::vector<BallSeen>& balls,
               const std::vector<Vec3>& cameras) {
  std::vector<FeatureEvidence> looked(balls.size());
  std::vector<std::vector<Neighbourhood>> prints(balls.size());
  parallel_blocks(balls.size(), 0, [&](std::size_t i, int) {
    looked[i] = look_at(balls[i], cameras);
    if (evaluated(balls[i].ball)) prints[i] = neighbourhoods(seen_surface(balls[i].ball));
  });
  for (std::size_t i = 0; i < balls.size(); ++i) {
    add_feature(to.fingerprint, prints[i]);
    if (evaluated(balls[i].ball))
      to.fingerprint.step = std::max(to.fingerprint.step, looked[i].repeats.step);
    to.features.push_back(std::move(looked[i]));
  }
}

void add_plate(ScanEvidence& to, const PlateFeature& f, const std::string& artefact) {
  FeatureEvidence e;
  e.is_ball = false;
  e.artefact = artefact;
  e.center = f.center;
  e.points = f.points;
  e.strays = f.strays;
  e.area = f.noise.area;
  e.range = f.length_mm;
  if (evaluated(f)) {
    const SeenSurface surface = seen_surface(f);
    look(e, surface);
    e.ripple = find_ripple(f);
    add_feature(to.fingerprint, neighbourhoods(surface));
    to.fingerprint.step = std::max(to.fingerprint.step, e.repeats.step);
  }
  to.features.push_back(std::move(e));
}

double coordinate_step(const ScanEvidence& scan) {
  double step = 0;
  for (const FeatureEvidence& f : scan.features) step = std::max(step, f.repeats.step);
  return step;
}

}  // namespace rigproof
