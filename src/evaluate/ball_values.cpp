#include <algorithm>
#include <cmath>

#include "evaluate/budget.h"
#include "evaluate/dispersion.h"
#include "evaluate/value_parts.h"

namespace rigproof {
namespace {

constexpr double kDispersionShare = 0.95;

void append(std::vector<BudgetLine>& to, const std::vector<BudgetLine>& lines) {
  to.insert(to.end(), lines.begin(), lines.end());
}

// One ball of one scan.
class BallValues {
 public:
  BallValues(const Artefact& artefact,
             const ArtefactBall& ball,
             const BallFeature& feature,
             const ValueContext& context)
      : artefact_(artefact), ball_(ball), f_(feature), context_(context) {}

  std::vector<TestValue> all() const {
    std::vector<TestValue> out;
    add_probing(out);
    add_dispersion(out);
    add_patches(out);
    for (TestValue& v : out) combine_budget(v);
    return out;
  }

 private:
  void add_probing(std::vector<TestValue>& out) const {
    if (const auto* rule = rule_of(context_, "probing_form")) {
      const bool left = rule->allowance > 0;
      TestValue v = form("probing_form", left ? f_.form : f_.form_all, left);
      v.value_all_points = f_.form_all;
      if (f_.form_mz) v.alternatives["minimum_zone"] = *f_.form_mz;
      out.push_back(v);
    }
    const auto known = ball_.diameter.mm > 0;
    for (const char* id : {"probing_size", "size_all"}) {
      const auto* rule = rule_of(context_, id);
      if (!rule || !known) continue;
      const bool left = rule->allowance > 0;
      out.push_back(size(id, 2 * (left ? f_.fit : f_.fit_all).sphere.radius, left));
    }
  }

  void add_dispersion(std::vector<TestValue>& out) const {
    if (!rule_of(context_, "form_dispersion") || f_.zone.empty()) return;
    const double concentric =
        shortest_interval(sphere_residuals(f_.zone, f_.fit_all.sphere), kDispersionShare);
    const bool free = context_.procedure->dispersion_shell == ShellRule::free;
    TestValue v =
        form("form_dispersion", free ? free_shell_width(f_, kDispersionShare) : concentric, false);
    v.value_all_points = v.value;
    if (free) v.alternatives["concentric_shell"] = concentric;
    out.push_back(v);
  }

  void add_patches(std::vector<TestValue>& out) const {
    const bool wants_form = rule_of(context_, "form_25"), wants_size = rule_of(context_, "size_25");
    if ((!wants_form && !wants_size) || f_.zone.empty()) return;
    const auto means = patch_points(f_, context_.procedure->zones.cap_half_angle_deg);
    if (!means) return;
    const SphereFit fit = fit_sphere_from(*means, f_.fit_all.sphere);
    if (!fit.ok()) return;
    if (wants_form) {
      TestValue v = form("form_25", fit.residuals.range(), false);
      v.value_all_points = v.value;
      out.push_back(v);
    }
    if (wants_size && ball_.diameter.mm > 0) {
      TestValue v = size("size_25", 2 * fit.sphere.radius, false);
      v.value_all_points = v.value;
      out.push_back(v);
    }
  }

  CertifiedItem item() const { return {artefact_, ball_.id}; }

  TestValue start(const char* id, bool left) const {
    TestValue v = start_value(id, artefact_, context_, f_.fit.sphere.center);
    v.ball = ball_.id;
    v.direction = f_.cap_axis;
    v.points = f_.points;
    v.left_out = left ? f_.left_out : 0;
    v.spacing_um = 1000 * f_.spacing_mm;
    v.noise_area = f_.noise.area;
    return v;
  }

  TestValue form(const char* id, double value, bool left) const {
    TestValue v = start(id, left);
    v.measured = v.value = value;
    v.signed_value = false;
    v.nominal_length = ball_.diameter.mm;
    v.u_fit = range_repeatability(
        std::min(f_.noise.sd_mm, f_.fit.residuals.rms), f_.noise.area, f_.points, v.left_out);
    v.budget = {form_line(item(), ball_.form_mm),
                coating_line(item(), 1),
                rounding_line(context_.coordinate_step_mm, std::sqrt(2.0)),
                zone_line(f_.zone_form)};
    return v;
  }

  TestValue size(const char* id, double diameter, bool left) const {
    TestValue v = start(id, left);
    const ArtefactTemperature t = temperature_of(context_);
    v.nominal_length = ball_.diameter.mm;
    v.reference = reference_at(artefact_, ball_.diameter.mm, t.C);
    v.measured = diameter;
    v.value = v.measured - v.reference;
    v.value_all_points = 2 * f_.fit_all.sphere.radius - v.reference;
    v.u_fit = 2 * std::sqrt(f_.covariance(3, 3));
    v.budget = {calibration_line(item(), ball_.diameter.U_mm),
                drift_line(item(), context_.test_date)};
    append(v.budget, temperature_lines(artefact_, ball_.diameter.mm, t));
    v.budget.push_back(coating_line(item(), 2));
    v.budget.push_back(
        rounding_line(context_.coordinate_step_mm, 2 * std::sqrt(f_.fit.cofactor(3, 3))));
    v.budget.push_back(zone_line(f_.zone_size));
    return v;
  }

  const Artefact& artefact_;
  const ArtefactBall& ball_;
  const BallFeature& f_;
  const ValueContext& context_;
};

double distance(const SphereFit& a, const SphereFit& b) {
  return (b.sphere.center - a.sphere.center).norm();
}

double along(const Vec3& d, const Eigen::Matrix4d& a, const Eigen::Matrix4d& b) {
  const Mat3 sum = a.topLeftCorner<3, 3>() + b.topLeftCorner<3, 3>();
  return std::sqrt(d.dot(sum * d));
}

// Deviation of one pair of balls: SD, or D_CC by the same construction with free radii.
TestValue spacing(const std::string& id,
                  const CharacteristicRule& rule,
                  bool fixed,
                  const Artefact& artefact,
                  const ArtefactDistance& listed,
                  const BallFeature& a,
                  const BallFeature& b,
                  const ValueContext& context) {
  const bool left = rule.allowance > 0;
  const SphereFit& fa = fixed ? a.fit_fixed : left ? a.fit : a.fit_all;
  const SphereFit& fb = fixed ? b.fit_fixed : left ? b.fit : b.fit_all;
  TestValue v = start_value(id, artefact, context, 0.5 * (fa.sphere.center + fb.sphere.center));
  v.pair = {listed.from, listed.to};
  v.direction = (fb.sphere.center - fa.sphere.center).normalized();

  const ArtefactTemperature t = temperature_of(context);
  v.nominal_length = listed.length.mm;
  v.reference = reference_at(artefact, listed.length.mm, t.C);
  v.measured = distance(fa, fb);
  v.value = v.measured - v.reference;
  const bool all_fixed = fixed && a.fit_fixed_all.ok() && b.fit_fixed_all.ok();
  v.value_all_points =
      (all_fixed ? distance(a.fit_fixed_all, b.fit_fixed_all) : distance(a.fit_all, b.fit_all)) -
      v.reference;
  v.alternatives["free_radius"] = distance(a.fit, b.fit) - v.reference;
  if (a.fit_fixed.ok() && b.fit_fixed.ok())
    v.alternatives["fixed_radius"] = distance(a.fit_fixed, b.fit_fixed) - v.reference;

  v.points = a.points + b.points;
  v.left_out = left || fixed ? a.left_out + b.left_out : 0;
  v.spacing_um = 1000 * std::max(a.spacing_mm, b.spacing_mm);
  v.noise_area = 0.5 * (a.noise.area + b.noise.area);
  v.u_fit = fixed ? along(v.direction, a.covariance_fixed, b.covariance_fixed)
                  : along(v.direction, a.covariance, b.covariance);

  const CertifiedItem item{artefact, listed.from + "-" + listed.to};
  v.budget = {calibration_line(item, listed.length.U_mm), drift_line(item, context.test_date)};
  append(v.budget, temperature_lines(artefact, listed.length.mm, t));
  v.budget.push_back(
      rounding_line(context.coordinate_step_mm, along(v.direction, fa.cofactor, fb.cofactor)));
  v.budget.push_back(zone_line((b.zone_center - a.zone_center).dot(v.direction)));
  combine_budget(v);
  return v;
}

// E: the length over both balls, centre distance with both sizes (each half).
void add_bidirectional(TestValue& v,
                       const Artefact& artefact,
                       const ArtefactBall& ball_a,
                       const ArtefactBall& ball_b,
                       const BallFeature& a,
                       const BallFeature& b,
                       const ArtefactTemperature& t) {
  if (!(ball_a.diameter.mm > 0 && ball_b.diameter.mm > 0)) return;
  const double sizes = a.fit.sphere.radius + b.fit.sphere.radius -
                       0.5 * reference_at(artefact, ball_a.diameter.mm + ball_b.diameter.mm, t.C);
  v.alternatives["bidirectional_length"] = v.alternatives["free_radius"] + sizes;
}

int index_of(const Artefact& artefact, const std::string& id) {
  for (std::size_t i = 0; i < artefact.balls.size(); ++i)
    if (artefact.balls[i].id == id) return static_cast<int>(i);
  return -1;
}

void add_spacings(std::vector<TestValue>& out,
                  const Artefact& artefact,
                  const std::vector<const BallFeature*>& balls,
                  const ValueContext& context) {
  const auto found = [&](int i) {
    return i >= 0 && static_cast<std::size_t>(i) < balls.size() && balls[i] && balls[i]->fit.ok();
  };
  for (const ArtefactDistance& listed : artefact.distances) {
    const int i = index_of(artefact, listed.from), j = index_of(artefact, listed.to);
    if (!found(i) || !found(j)) continue;
    const BallFeature &a = *balls[i], &b = *balls[j];
    for (const char* id : {"sphere_spacing", "center_distance"}) {
      const auto* rule = rule_of(context, id);
      if (!rule) continue;
      const bool wants_fixed = std::string(id) == "sphere_spacing" &&
                               context.procedure->center_radius == RadiusRule::fixed;
      const bool fixed = wants_fixed && a.fit_fixed.ok() && b.fit_fixed.ok();
      if (wants_fixed && !fixed) continue;  // no calibrated radius, no value of this definition
      out.push_back(spacing(id, *rule, fixed, artefact, listed, a, b, context));
      add_bidirectional(out.back(),
                        artefact,
                        artefact.balls[i],
                        artefact.balls[j],
                        a,
                        b,
                        temperature_of(context));
    }
  }
}

}  // namespace

std::vector<TestValue> ball_values(const Artefact& artefact,
                                   const std::vector<const BallFeature*>& balls,
                                   const ValueContext& context) {
  std::vector<TestValue> out;
  for (std::size_t i = 0; i < artefact.balls.size() && i < balls.size(); ++i) {
    if (!balls[i] || !balls[i]->fit.ok()) continue;
    for (TestValue& v : BallValues(artefact, artefact.balls[i], *balls[i], context).all())
      out.push_back(std::move(v));
  }
  add_spacings(out, artefact, balls, context);
  return out;
}

}  // namespace rigproof
