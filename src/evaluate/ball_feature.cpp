#include <algorithm>
#include <cmath>
#include <numbers>

#include "evaluate/allowance.h"
#include "evaluate/cap.h"
#include "evaluate/feature.h"
#include "evaluate/zone.h"

namespace rigproof {
namespace {

constexpr double kWidening = 5;          // degrees, zone-choice term
constexpr double kGathered = 100;        // degrees about the cap's axis: all that can be seen
constexpr double kLocatedWithin = 0.02;  // of the radius; locate promises about 1e-3
constexpr double kCapShare = 0.99;
constexpr double kGrazing = 0.2;  // cosine below which a residual is not projected on the ray

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
      std::min(180.0, std::max(kGathered, t.rules.cap_half_angle_deg + kWidening + 5));
  return shell;
}

BallZone zone_about(const Sphere& s, const Vec3& axis, const Task& t) {
  BallZone z;
  z.sphere = s;
  z.gate_mm = t.rules.ball_gate_share * s.radius;
  z.stray_mm = t.rules.stray_gates * z.gate_mm;
  z.axis = axis;
  z.half_angle_deg = t.rules.cap_half_angle_deg;
  z.widening_deg = kWidening;
  if (t.holder) {
    z.holder_axis = Vec3(t.holder->axis[0], t.holder->axis[1], t.holder->axis[2]).normalized();
    z.holder_half_angle_deg = t.holder->half_angle_deg;
  }
  return z;
}

SphereFitOptions seen_along(const Sphere& s, const Vec3& axis) {
  SphereFitOptions o;
  o.sensor = s.center + 1000 * s.radius * axis;
  return o;
}

// First fit, allowance, one refit.
struct Trimmed {
  SphereFit all, kept;
  std::vector<std::size_t> out;
};

Trimmed trimmed(Points& points, const SphereFit& all, double share, const SphereFitOptions& o) {
  Trimmed t{all, all, {}};
  const std::size_t count = allowance(share, points.size());
  if (!all.ok() || count == 0) return t;
  t.out = select_largest(sphere_residuals(points, all.sphere), count);
  const LeftOut left(points, t.out);
  t.kept = fit_sphere_from(points, all.sphere, o);
  return t;
}

// Zone and fit repeat until the set of points repeats.
void settle(BallFeature& f, const Points& gathered, const Task& t, ZoneCodes& codes) {
  Sphere about = f.located;
  ZoneCodes before;
  for (f.rounds = 1; f.rounds <= t.rules.max_rounds; ++f.rounds) {
    std::tie(f.cap_axis, f.axis_from) = cap_axis(about, t.context.cameras, t.sighting.view_axis);
    classify(gathered, zone_about(about, f.cap_axis, t), codes);
    if (f.rounds > 1 && same_selection(before, codes, zone)) {
      f.settled = true;
      return;
    }
    select(gathered, codes, zone, f.zone);
    f.fit_all = fit_sphere_from(f.zone, about, seen_along(about, f.cap_axis));
    if (!f.fit_all.ok()) return;
    about = f.fit_all.sphere;
    before.swap(codes);
  }
  f.rounds = t.rules.max_rounds;
  codes.swap(before);
}

void fit_with_allowance(BallFeature& f, const Task& t) {
  const SphereFitOptions o = seen_along(f.fit_all.sphere, f.cap_axis);
  Trimmed trim = trimmed(f.zone, f.fit_all, t.context.allowance_ball, o);
  f.fit = trim.kept;
  f.left_out = trim.out.size();
  f.form_all = f.fit_all.residuals.range();
  f.form = f.fit.residuals.range();
  SphereFitOptions fixed = o;
  if (t.diameter > 0) fixed.fixed_radius_mm = t.diameter / 2;
  if (t.diameter > 0 && t.context.center_radius == RadiusRule::fixed)
    f.fit_fixed_all = fit_sphere_from(f.zone, f.fit_all.sphere, fixed);
  {
    const LeftOut left(f.zone, trim.out);
    if (t.diameter > 0) f.fit_fixed = fit_sphere_from(f.zone, f.fit.sphere, fixed);
    if (t.context.minimum_zones) f.form_mz = minimum_zone_sphere(f.zone, f.fit.sphere).width();
  }
  f.residuals = sphere_residuals(f.zone, f.fit.sphere);
}

void zone_choice(BallFeature& f, const Points& gathered, const ZoneCodes& codes, const Task& t) {
  Points varied;
  const SphereFitOptions o = seen_along(f.fit_all.sphere, f.cap_axis);
  SphereFit fits[2];
  for (const std::uint8_t least : {narrow, wide}) {
    select(gathered, codes, least, varied);
    const SphereFit all = fit_sphere_from(varied, f.fit_all.sphere, o);
    fits[least == wide] = trimmed(varied, all, t.context.allowance_ball, o).kept;
  }
  if (!fits[0].ok() || !fits[1].ok()) return;
  f.zone_center = 0.5 * (fits[1].sphere.center - fits[0].sphere.center);
  f.zone_size = fits[1].sphere.radius - fits[0].sphere.radius;
  f.zone_form = 0.5 * std::abs(fits[1].residuals.range() - fits[0].residuals.range());
}

// Lambert's azimuthal projection about the cap's axis: equal areas, and distances between
// neighbours within 13 % out to 60°.
void noise_of(BallFeature& f) {
  const Vec3 c = f.fit.sphere.center - f.zone.origin;
  const auto [u, v] = across(f.cap_axis);
  const std::size_t n = f.zone.size();
  SurfaceResiduals s;
  s.u.resize(n);
  s.v.resize(n);
  s.residual.resize(n);
  s.spacing_mm = f.spacing_mm;
  const double r = f.fit.sphere.radius;
  for (std::size_t i = 0; i < n; ++i) {
    const Vec3 d = f.zone.local(i) - c;
    const double length = d.norm(), along = d.dot(f.cap_axis) / length;
    const double scale = r / length * std::sqrt(2 / std::max(1e-9, 1 + along));
    s.u[i] = scale * d.dot(u);
    s.v[i] = scale * d.dot(v);
    s.residual[i] = f.residuals[i] / std::max(kGrazing, along);
  }
  f.noise = zone_noise(s);
  f.covariance = sphere_covariance(f.zone, f.fit, f.cap_axis, f.noise);
  if (f.fit_fixed.ok())
    f.covariance_fixed = sphere_covariance(f.zone, f.fit_fixed, f.cap_axis, f.noise);
}

double spacing(const BallFeature& f) {
  const double seen = f.zone_half_angle_deg * std::numbers::pi / 180;
  return f.fit.sphere.radius *
         std::sqrt(2 * std::numbers::pi * (1 - std::cos(seen)) / static_cast<double>(f.points));
}

void describe(BallFeature& f, const Task& t, const Points& gathered) {
  const Sphere& s = f.fit.sphere;
  f.cap_half_angle_deg = half_angle_of(f.zone, s.center, f.cap_axis, kCapShare);
  Points in_gate;
  ZoneCodes codes;
  BallZone whole = zone_about(s, f.cap_axis, t);
  whole.half_angle_deg = 180;
  classify(gathered, whole, codes);
  select(gathered, codes, zone, in_gate);
  f.seen_half_angle_deg = seen_half_angle(in_gate, s.center);
  f.zone_half_angle_deg = seen_half_angle(f.zone, s.center);
  f.spacing_mm = spacing(f);
}

BallFeature evaluate(const Points& gathered, const Task& t) {
  BallFeature f;
  f.located = t.sighting.sphere;
  ZoneCodes codes;
  settle(f, gathered, t, codes);
  f.points = f.zone.size();
  f.strays = count_code(codes, stray);
  if (!f.fit_all.ok()) {
    f.fit = f.fit_all;
    return f;
  }
  fit_with_allowance(f, t);
  zone_choice(f, gathered, codes, t);
  describe(f, t, gathered);
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
    const bool held = i < context.holders.size() && context.holders[i];
    tasks.push_back({balls[i],
                     i < diameters.size() ? diameters[i] : 0,
                     held ? &*context.holders[i] : nullptr,
                     rules,
                     context});
    regions.push_back(region(tasks.back()));
  }
  std::vector<Points> gathered = scan.gather(regions);
  std::vector<BallFeature> features;
  for (std::size_t i = 0; i < balls.size(); ++i) {
    features.push_back(evaluate(gathered[i], tasks[i]));
    gathered[i] = Points();
  }
  return features;
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
  if (context.minimum_zones) f.form_mz = minimum_zone_sphere(points, s).width();
  f.residuals = sphere_residuals(points, s);
  f.cap_half_angle_deg = half_angle_of(points, s.center, f.cap_axis, kCapShare);
  f.seen_half_angle_deg = seen_half_angle(points, s.center);
  f.zone_half_angle_deg = f.seen_half_angle_deg;
  f.spacing_mm = spacing(f);
  noise_of(f);
  return f;
}

}  // namespace rigproof
