#include <algorithm>
#include <array>
#include <cmath>

#include "evaluate/allowance.h"
#include "evaluate/area_weight.h"
#include "evaluate/budget.h"
#include "evaluate/value_parts.h"

namespace rigproof {
namespace {

void append(std::vector<BudgetLine>& to, const std::vector<BudgetLine>& lines) {
  to.insert(to.end(), lines.begin(), lines.end());
}

// The fits that a characteristic takes: its own share left out.
AllowedSphere allowed(const BallFeature& f, double share, double calibrated_mm) {
  if (share == f.share) return {f.fit, f.fit_fixed, f.left_out};
  if (share == 0 && (calibrated_mm <= 0 || f.fit_fixed_all.ok()))
    return {f.fit_all, f.fit_fixed_all, 0};
  return with_allowance(f, share, calibrated_mm);
}

struct Varied {
  double wider = 0, narrower = 0;
};

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
    const bool weigh = context_.information && !f_.zone.empty();
    const Sphere even = weigh ? area_weighted_sphere(f_) : Sphere();
    if (const auto* rule = rule_of(context_, "probing_form")) {
      const AllowedSphere a = allowed(f_, rule->allowance, 0);
      TestValue v = form(
          "probing_form", a.fit.residuals.range(), a.left_out, {f_.wider.form, f_.narrower.form});
      v.value_all_points = f_.form_all;
      if (const auto mz = f_.form_mz()) v.alternatives["minimum_zone"] = *mz;
      if (weigh)
        v.alternatives["area_weighted"] =
            kept_range(sphere_residuals(f_.zone, even), rule->allowance);
      out.push_back(v);
    }
    if (!(ball_.diameter.mm > 0)) return;
    for (const char* id : {"probing_size", "size_all"}) {
      const auto* rule = rule_of(context_, id);
      if (!rule) continue;
      const AllowedSphere a = allowed(f_, rule->allowance, 0);
      const Varied varied{2 * f_.wider.sphere.radius, 2 * f_.narrower.sphere.radius};
      TestValue v = size(id, 2 * a.fit.sphere.radius, a.left_out, varied);
      if (weigh) v.alternatives["area_weighted"] = 2 * even.radius - v.reference;
      out.push_back(v);
    }
  }

  void add_dispersion(std::vector<TestValue>& out) const {
    if (!rule_of(context_, "form_dispersion")) return;
    const bool free = context_.procedure->dispersion_shell == ShellRule::free;
    const auto shell = width_of(f_.enclosures, free ? "free_shell" : "concentric_shell");
    if (!shell) return;
    const double width = *shell;
    TestValue v =
        form("form_dispersion",
             width,
             0,
             {f_.wider.dispersion.value_or(width), f_.narrower.dispersion.value_or(width)});
    v.value_all_points = v.value;
    const char* name = free ? "concentric_shell" : "free_shell";
    if (const auto other = width_of(f_.enclosures, name)) v.alternatives[name] = *other;
    out.push_back(v);
  }

  void add_patches(std::vector<TestValue>& out) const {
    const bool wants_form = rule_of(context_, "form_25"), wants_size = rule_of(context_, "size_25");
    if ((!wants_form && !wants_size) || !f_.patches) return;
    if (wants_form) {
      const double range = f_.patches->fit.residuals.range();
      TestValue v = form("form_25",
                         range,
                         0,
                         {f_.wider.form_25.value_or(range), f_.narrower.form_25.value_or(range)});
      v.value_all_points = v.value;
      out.push_back(v);
    }
    if (wants_size && ball_.diameter.mm > 0) {
      const double d = 2 * f_.patches->fit.sphere.radius;
      TestValue v =
          size("size_25", d, 0, {f_.wider.size_25.value_or(d), f_.narrower.size_25.value_or(d)});
      v.value_all_points = v.value;
      out.push_back(v);
    }
  }

  CertifiedItem item() const { return {artefact_, ball_.id}; }

  TestValue start(const char* id, std::size_t left_out) const {
    TestValue v = start_value(id, artefact_, context_, f_.fit.sphere.center);
    v.ball = ball_.id;
    v.direction = f_.cap_axis;
    v.points = f_.points;
    v.left_out = left_out;
    v.spacing_um = 1000 * f_.spacing_mm;
    v.noise_area = f_.noise.area;
    return v;
  }

  TestValue form(const char* id, double value, std::size_t left_out, const Varied& varied) const {
    TestValue v = start(id, left_out);
    v.measured = v.value = value;
    v.signed_value = false;
    v.nominal_length = ball_.diameter.mm;
    v.noise_sd = std::min(f_.noise.sd_mm, f_.fit.residuals.rms);
    v.u_fit = range_repeatability(v.noise_sd, f_.noise.area, f_.points, v.left_out);
    v.budget = {form_line(item(), ball_.form_mm),
                drift_line(item(), context_.test_date),
                coating_line(item(), 1),
                rounding_line(context_.coordinate_step_mm, std::sqrt(2.0)),
                zone_line(varied.wider, varied.narrower)};
    return v;
  }

  TestValue size(const char* id,
                 double diameter,
                 std::size_t left_out,
                 const Varied& varied) const {
    TestValue v = start(id, left_out);
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
    v.budget.push_back(zone_line(varied.wider, varied.narrower));
    return v;
  }

  const Artefact& artefact_;
  const ArtefactBall& ball_;
  const BallFeature& f_;
  const ValueContext& context_;
};

double distance(const Sphere& a, const Sphere& b) { return (b.center - a.center).norm(); }
double distance(const SphereFit& a, const SphereFit& b) { return distance(a.sphere, b.sphere); }

double variance_along(const Vec3& d, const Eigen::Matrix4d& cov) {
  return d.dot(cov.topLeftCorner<3, 3>() * d);
}

double along(const Vec3& d, const Eigen::Matrix4d& a, const Eigen::Matrix4d& b) {
  return std::sqrt(variance_along(d, a) + variance_along(d, b));
}

// The area that both ends would have to share for the same repeatability of their distance.
double area_of_both(const Vec3& d,
                    const Eigen::Matrix4d& cov_a,
                    const Eigen::Matrix4d& cov_b,
                    double area_a,
                    double area_b) {
  const double a = variance_along(d, cov_a), b = variance_along(d, cov_b);
  return a + b > 0 ? (a + b) / (a / area_a + b / area_b) : 0.5 * (area_a + area_b);
}

// Deviation of one pair of balls: SD, or D_CC by the same construction with free radii.
TestValue spacing(const std::string& id,
                  const CharacteristicRule& rule,
                  bool fixed,
                  const Artefact& artefact,
                  const ArtefactDistance& listed,
                  const std::array<double, 2>& calibrated_mm,
                  const BallFeature& a,
                  const BallFeature& b,
                  const ValueContext& context) {
  const AllowedSphere all_a = allowed(a, rule.allowance, calibrated_mm[0]);
  const AllowedSphere all_b = allowed(b, rule.allowance, calibrated_mm[1]);
  const SphereFit& fa = fixed ? all_a.fixed : all_a.fit;
  const SphereFit& fb = fixed ? all_b.fixed : all_b.fit;
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
  v.alternatives["free_radius"] = distance(all_a.fit, all_b.fit) - v.reference;
  if (all_a.fixed.ok() && all_b.fixed.ok())
    v.alternatives["fixed_radius"] = distance(all_a.fixed, all_b.fixed) - v.reference;
  if (calibrated_mm[0] > 0 && calibrated_mm[1] > 0)  // E: over both balls, with half of each size
    v.alternatives["bidirectional_length"] =
        v.alternatives["free_radius"] + all_a.fit.sphere.radius + all_b.fit.sphere.radius -
        0.5 * reference_at(artefact, calibrated_mm[0] + calibrated_mm[1], t.C);
  if (context.information && !a.zone.empty() && !b.zone.empty())
    v.alternatives["area_weighted"] =
        distance(area_weighted_sphere(a), area_weighted_sphere(b)) - v.reference;

  v.points = a.points + b.points;
  v.left_out = all_a.left_out + all_b.left_out;
  v.spacing_um = 1000 * std::max(a.spacing_mm, b.spacing_mm);
  const Eigen::Matrix4d& cov_a = fixed ? a.covariance_fixed : a.covariance;
  const Eigen::Matrix4d& cov_b = fixed ? b.covariance_fixed : b.covariance;
  v.u_fit = along(v.direction, cov_a, cov_b);
  v.noise_area = area_of_both(v.direction, cov_a, cov_b, a.noise.area, b.noise.area);

  const CertifiedItem item{artefact, listed.from + "-" + listed.to};
  v.budget = {calibration_line(item, listed.length.U_mm), drift_line(item, context.test_date)};
  append(v.budget, temperature_lines(artefact, listed.length.mm, t));
  v.budget.push_back(support_line(item));
  v.budget.push_back(bending_line(item));
  v.budget.push_back(
      rounding_line(context.coordinate_step_mm, along(v.direction, fa.cofactor, fb.cofactor)));
  v.budget.push_back(zone_line(distance(a.wider.sphere, b.wider.sphere),
                               distance(a.narrower.sphere, b.narrower.sphere)));
  combine_budget(v);
  return v;
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
      const bool fixed = std::string(id) == "sphere_spacing" &&
                         context.procedure->center_radius == RadiusRule::fixed;
      // No calibrated radius, no value of this definition.
      if (fixed && !(a.fit_fixed.ok() && b.fit_fixed.ok())) continue;
      const std::array<double, 2> calibrated{
          artefact.balls[static_cast<std::size_t>(i)].diameter.mm,
          artefact.balls[static_cast<std::size_t>(j)].diameter.mm};
      out.push_back(spacing(id, *rule, fixed, artefact, listed, calibrated, a, b, context));
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
