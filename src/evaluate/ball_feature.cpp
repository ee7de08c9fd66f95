#include <algorithm>
#include <cmath>
#include <numbers>
#include <tuple>

#include "base/threads.h"
#include "evaluate/allowance.h"
#include "evaluate/dispersion.h"
#include "evaluate/feature.h"
#include "evaluate/settle.h"
#include "fit/sphere_step.h"

namespace rigproof {
namespace {

constexpr double kGathered = 100;        // degrees about the cap's axis: all that can be seen
constexpr double kLocatedWithin = 0.02;  // of the radius; locate promises about 1e-3
constexpr double kCapShare = 0.99;
constexpr std::size_t kDescribed = 50000;  // points that tell how much of a ball was seen

// What one ball is evaluated with.
struct Task {
  const BallSighting& sighting;
  double diameter = 0;  // calibrated, 0 unknown
  const Holder* holder = nullptr;
  const ZoneRules& rules;
  const ZoneContext& context;
};

ShellRegion region(const Task& t) {
  const Sphere& s = t.sighting.sphere;
  const double gate = t.rules.ball_gate_share * std::max(1.0, t.rules.stray_gates);
  ShellRegion shell;
  shell.center = s.center;
  shell.inner_mm = std::max(0.0, s.radius * (1 - gate - kLocatedWithin));
  shell.outer_mm = s.radius * (1 + gate + kLocatedWithin);
  shell.axis = cap_axis(s, t.context.cameras, t.sighting.view_axis).first;
  shell.half_angle_deg =
      std::min(180.0, std::max(kGathered, t.rules.cap_half_angle_deg + kCapWidening + 5));
  return shell;
}

Sphere after(const Sphere& s, const std::optional<Eigen::Vector4d>& step) {
  if (!step) return s;
  return {s.center + step->head<3>(), s.radius + (*step)[3]};
}

SphereSums sums_at(const Points& points, const Sphere& s, double weight = 1) {
  const std::vector<double> weights(weight == 1 ? 0 : points.size(), weight);
  return sphere_sums(points, s.center - points.origin, s.radius, weights);
}

// First fit, allowance, one refit; then the same points with the calibrated radius held.
void fit_with_allowance(BallFeature& f, const SettledZone& settled, const Task& t) {
  SphereFitOptions options = ZoneMaker::behind(settled.geometry);
  SphereFitOptions fixed = options;
  if (t.diameter > 0) fixed.fixed_radius_mm = t.diameter / 2;
  if (t.diameter > 0 && t.context.center_radius == RadiusRule::fixed)
    f.fit_fixed_all = fit_sphere_from(f.zone, f.fit_all.sphere, fixed);

  f.share = t.context.allowance_ball;
  f.left_out = allowance(f.share, f.points);
  f.residuals = sphere_residuals(f.zone, f.fit_all.sphere);
  const std::vector<std::size_t> out = select_largest(f.residuals, f.left_out);
  f.fit = f.fit_all;
  f.form_all = f.fit_all.residuals.range();
  {
    const LeftOut left(f.zone, out);
    if (!out.empty()) f.fit = fit_sphere_from(f.zone, f.fit_all.sphere, options);
    if (t.diameter > 0) f.fit_fixed = fit_sphere_from(f.zone, f.fit.sphere, fixed);
    if (t.context.minimum_zones)
      f.enclosures.push_back(minimum_zone_of(f.zone, f.fit.sphere, out.size()));
  }
  f.form = f.fit.residuals.range();
  if (!out.empty()) f.residuals = sphere_residuals(f.zone, f.fit.sphere);
}

// The forms whose definition is another than the range about the fit.
void add_other_forms(BallFeature& f, const Task& t) {
  const ZoneContext& c = t.context;
  const Sphere& s = f.fit_all.sphere;
  if (c.dispersion) {
    f.enclosures.push_back(concentric_shell(f.zone, s, c.dispersion_share));
    if (*c.dispersion == ShellRule::free || c.both_shells)
      f.enclosures.push_back(free_shell(f.zone, s, c.dispersion_share));
  }
  if (!c.patches.empty())
    f.patches = patch_fit(f.zone, s, {f.cap_axis, t.rules.cap_half_angle_deg, c.patches});
}

void widen_patches(
    BallVariant& v, const Points& points, const BallFeature& f, const Task& t, double cap_deg) {
  const ZoneContext& c = t.context;
  if (c.dispersion) v.dispersion = shell(points, v.sphere, c.dispersion_share, *c.dispersion).width;
  if (c.patches.empty()) return;
  if (const auto through = patch_fit(points, v.sphere, {f.cap_axis, cap_deg, c.patches})) {
    v.form_25 = through->fit.residuals.range();
    v.size_25 = 2 * through->fit.sphere.radius;
  }
}

// The fits of the widened and narrowed caps by one Gauss–Newton step from the zone's own, with the
// normal equations of the ring between them added or taken away: second order in a step of some
// micrometres. Form is the range with the allowance left out, about that fit.
void zone_choice(BallFeature& f, const Points& gathered, const ZoneCodes& codes, const Task& t) {
  const Sphere& base = f.fit_all.sphere;
  const double share = t.context.allowance_ball;
  const SphereSums sums = sums_at(f.zone, base);
  const Points outer = points_of(gathered, codes, wide);
  SphereSums wider = sums, narrower = sums;
  wider += sums_at(outer, base);
  narrower += sums_at(points_of(gathered, codes, zone), base, -1);
  f.wider.sphere = after(base, sphere_step(wider, false));
  f.narrower.sphere = after(base, sphere_step(narrower, false));

  std::vector<double> d = sphere_residuals(f.zone, f.wider.sphere);
  const std::vector<double> more = sphere_residuals(outer, f.wider.sphere);
  d.insert(d.end(), more.begin(), more.end());
  f.wider.form = kept_range(d, share);
  d = sphere_residuals(f.zone, f.narrower.sphere);
  std::size_t from = 0, to = 0;
  for (const std::uint8_t code : codes) {
    if (code < zone) continue;
    if (code == narrow) d[to++] = d[from];
    ++from;
  }
  d.resize(to);
  f.narrower.form = kept_range(d, share);
  if (!t.context.dispersion && t.context.patches.empty()) return;
  const double cap = t.rules.cap_half_angle_deg;
  Points varied;
  select(gathered, codes, wide, varied);
  widen_patches(f.wider, varied, f, t, cap + kCapWidening);
  select(gathered, codes, narrow, varied);
  widen_patches(f.narrower, varied, f, t, cap - kCapWidening);
}

double spacing(const BallFeature& f) {
  const double seen = f.zone_half_angle_deg * std::numbers::pi / 180;
  return f.fit.sphere.radius *
         std::sqrt(2 * std::numbers::pi * (1 - std::cos(seen)) / static_cast<double>(f.points));
}

void noise_of(BallFeature& f) {
  const ResidualStats& kept = f.fit.residuals;
  f.noise = zone_noise({f.zone,
                        f.residuals,
                        f.cap_axis,
                        f.fit.sphere.center,
                        f.spacing_mm,
                        kept.min,
                        kept.max,
                        f.left_out});
  const double loss =
      trimming_loss(static_cast<double>(f.left_out) / static_cast<double>(f.points));
  f.covariance = loss * sphere_covariance(f.zone, f.fit, f.cap_axis, f.noise);
  if (f.fit_fixed.ok())
    f.covariance_fixed = loss * sphere_covariance(f.zone, f.fit_fixed, f.cap_axis, f.noise);
}

void describe(BallFeature& f, const BallZone& geometry, const Points& gathered) {
  const Sphere& s = f.fit.sphere;
  f.cap_half_angle_deg = half_angle_of(f.zone, s.center, f.cap_axis, kCapShare);
  BallZone whole = geometry;
  whole.half_angle_deg = 180;
  const Points some = thinned(gathered, kDescribed);
  ZoneCodes codes;
  classify(some, whole, codes);
  Points in_gate;
  select(some, codes, zone, in_gate);
  f.seen_half_angle_deg = seen_half_angle(in_gate, s.center);
  f.zone_half_angle_deg = seen_half_angle(f.zone, s.center);
  f.spacing_mm = spacing(f);
}

BallFeature evaluate(const Points& gathered, const Task& t) {
  BallFeature f;
  f.located = t.sighting.sphere;
  SettledZone settled =
      settle(gathered, f.located, {t.rules, t.context.cameras, t.sighting.view_axis, t.holder});
  f.zone = std::move(settled.points);
  f.points = f.zone.size();
  f.strays = count_code(settled.codes, stray);
  f.rounds = settled.rounds;
  f.settled = settled.settled;
  f.fit = f.fit_all = settled.fit;
  std::tie(f.cap_axis, f.axis_from) =
      cap_axis(settled.fit.sphere, t.context.cameras, t.sighting.view_axis);
  if (!f.fit_all.ok()) return f;
  fit_with_allowance(f, settled, t);
  add_other_forms(f, t);
  zone_choice(f, gathered, settled.codes, t);
  describe(f, settled.geometry, gathered);
  noise_of(f);
  return f;
}

}  // namespace

std::vector<BallFeature> evaluate_balls(const Scan& scan,
                                        const std::vector<BallSighting>& balls,
                                        const std::vector<double>& diameters,
                                        const ZoneRules& rules,
                                        const ZoneContext& context) {
  std::vector<Task> tasks;
  std::vector<Region> regions;
  for (std::size_t i = 0; i < balls.size(); ++i) {
    const auto holder = i < context.holders.size() ? &context.holders[i] : nullptr;
    tasks.push_back({balls[i],
                     i < diameters.size() ? diameters[i] : 0,
                     holder && *holder ? &**holder : nullptr,
                     rules,
                     context});
    regions.push_back(region(tasks.back()));
  }
  std::vector<Points> gathered = scan.gather(regions);
  std::vector<BallFeature> features(balls.size());
  parallel_blocks(balls.size(), 0, [&](std::size_t i, int) {
    features[i] = evaluate(gathered[i], tasks[i]);
    gathered[i] = Points();
  });
  return features;
}

AllowedSphere with_allowance(const BallFeature& ball, double share, double calibrated_mm) {
  AllowedSphere out;
  Points points = ball.zone;
  out.left_out = allowance(share, points.size());
  const std::vector<std::size_t> indices =
      select_largest(sphere_residuals(points, ball.fit_all.sphere), out.left_out);
  const LeftOut left(points, indices);
  SphereFitOptions options;
  options.sensor = ball.fit_all.sphere.center + 10 * ball.fit_all.sphere.radius * ball.cap_axis;
  out.fit = fit_sphere_from(points, ball.fit_all.sphere, options);
  if (calibrated_mm > 0) {
    options.fixed_radius_mm = calibrated_mm / 2;
    out.fixed = fit_sphere_from(points, ball.fit_all.sphere, options);
  }
  return out;
}

BallFeature whole_ball(const Points& points, const ZoneContext& context) {
  BallFeature f;
  f.zone = points;
  f.points = points.size();
  f.rounds = 1;
  f.fit_all = fit_sphere(points);
  f.fit = f.fit_all;
  f.settled = f.fit.ok();
  if (!f.fit.ok()) return f;
  const Sphere& s = f.fit.sphere;
  f.located = s;
  f.cap_axis = mean_direction(points, s.center);
  f.axis_from = CapAxis::seen;
  f.form = f.form_all = f.fit.residuals.range();
  if (context.minimum_zones) f.enclosures.push_back(minimum_zone_of(f.zone, s, 0));
  f.residuals = sphere_residuals(points, s);
  f.cap_half_angle_deg = half_angle_of(points, s.center, f.cap_axis, kCapShare);
  f.seen_half_angle_deg = seen_half_angle(points, s.center);
  f.zone_half_angle_deg = f.seen_half_angle_deg;
  f.spacing_mm = spacing(f);
  noise_of(f);
  return f;
}

}  // namespace rigproof
