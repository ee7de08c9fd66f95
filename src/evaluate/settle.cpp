#include "evaluate/settle.h"

#include <algorithm>

#include "fit/sphere_step.h"

namespace rigproof {
namespace {

constexpr std::size_t kThinned = 32768;
constexpr std::size_t kWorthThinning = 4 * kThinned;
constexpr std::size_t kAtTheEdge = 2;  // points
constexpr double kFarStep = 0.1;       // of the radius: no linearisation reaches that far

// Points that enter (+1) or leave (−1) the zone.
void add_changes(SphereSums& sums,
                 const Points& gathered,
                 const ZoneCodes& before,
                 const ZoneCodes& after,
                 const Sphere& at) {
  Points changed;
  changed.origin = gathered.origin;
  std::vector<double> weights;
  for (std::size_t i = 0; i < after.size(); ++i) {
    const int sign = (after[i] >= zone) - (before[i] >= zone);
    if (sign == 0) continue;
    changed.push_local(gathered.x[i], gathered.y[i], gathered.z[i]);
    weights.push_back(sign);
  }
  sums += sphere_sums(changed, at.center - gathered.origin, at.radius, weights);
}

// A point on the edge may be in with the fit that leaves it out and out with the one that takes it
// in: the sets then repeat in turn, a point or two apart, and none is better than the other.
bool goes_round(const ZoneCodes& fitted,
                const ZoneCodes& next,
                const std::vector<ZoneCodes>& earlier,
                std::size_t points) {
  std::size_t changes = 0;
  for (std::size_t i = 0; i < next.size(); ++i) changes += (fitted[i] >= zone) != (next[i] >= zone);
  return changes <= std::max(kAtTheEdge, points / 1000) &&
         std::ranges::any_of(earlier,
                             [&](const auto& e) { return same_selection(e, fitted, zone); });
}

// The sphere whose zone repeats to first order about `start`, with the codes and points of its
// zone.
Sphere follow(const Points& gathered,
              const Sphere& start,
              const ZoneMaker& maker,
              ZoneCodes& codes,
              Points& points) {
  classify(gathered, maker.about(start), codes);
  select(gathered, codes, zone, points);
  SphereSums sums = sphere_sums(points, start.center - points.origin, start.radius);
  Sphere about = start;
  ZoneCodes next;
  bool changed = false;
  for (int round = 0; round < maker.rules.max_rounds; ++round) {
    const auto step = sphere_step(sums, false);
    if (!step || !(step->norm() < kFarStep * start.radius)) break;
    about = {start.center + step->head<3>(), start.radius + (*step)[3]};
    classify(gathered, maker.about(about), next);
    codes.swap(next);
    if (same_selection(next, codes, zone)) break;
    add_changes(sums, gathered, next, codes, start);
    changed = true;
  }
  if (changed) select(gathered, codes, zone, points);
  return about;
}

}  // namespace

BallZone ZoneMaker::about(const Sphere& sphere) const {
  BallZone z;
  z.sphere = sphere;
  z.gate_mm = rules.ball_gate_share * sphere.radius;
  z.stray_mm = rules.stray_gates * z.gate_mm;
  z.axis = cap_axis(sphere, cameras, seen).first;
  z.half_angle_deg = rules.cap_half_angle_deg;
  z.widening_deg = kCapWidening;
  if (holder) {
    z.holder_axis = Vec3(holder->axis[0], holder->axis[1], holder->axis[2]).normalized();
    z.holder_half_angle_deg = holder->half_angle_deg;
  }
  return z;
}

SphereFitOptions ZoneMaker::behind(const BallZone& zone) {
  SphereFitOptions o;
  o.sensor = zone.sphere.center + 1000 * zone.sphere.radius * zone.axis;
  return o;
}

SettledZone settle(const Points& gathered, const Sphere& located, const ZoneMaker& maker) {
  SettledZone s;
  Sphere about = located;
  if (gathered.size() > kWorthThinning)
    about = follow(thinned(gathered, kThinned), about, maker, s.codes, s.points);
  ZoneCodes before;
  std::vector<ZoneCodes> earlier;
  for (s.rounds = 1; s.rounds <= maker.rules.max_rounds; ++s.rounds) {
    about = follow(gathered, about, maker, before, s.points);
    s.fit = fit_sphere_from(s.points, about, ZoneMaker::behind(maker.about(about)));
    s.geometry = maker.about(s.fit.sphere);
    if (!s.fit.ok()) {
      s.codes.swap(before);
      return s;
    }
    classify(gathered, s.geometry, s.codes);
    if (same_selection(before, s.codes, zone)) {
      s.settled = true;
      return s;
    }
    if (goes_round(before, s.codes, earlier, s.points.size())) {
      s.settled = true;
      s.codes.swap(before);
      return s;
    }
    earlier.push_back(before);
    about = s.fit.sphere;
  }
  s.rounds = maker.rules.max_rounds;
  s.codes.swap(before);  // those that were fitted
  return s;
}

}  // namespace rigproof
