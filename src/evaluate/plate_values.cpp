#include <algorithm>
#include <array>
#include <cmath>

#include "evaluate/allowance.h"
#include "evaluate/area_weight.h"
#include "evaluate/budget.h"
#include "evaluate/value_parts.h"

namespace rigproof {
namespace {

TestValue plate_value(const char* id,
                      double value,
                      std::size_t left_out,
                      const PlateFeature& f,
                      const std::array<double, 2>& varied,
                      const Artefact& artefact,
                      const ValueContext& context) {
  TestValue v = start_value(id, artefact, context, f.center);
  v.direction = f.fit.plane.normal;
  v.measured = v.value = v.value_all_points = value;
  v.signed_value = false;
  v.nominal_length = artefact.length_mm;
  v.points = f.points;
  v.left_out = left_out;
  v.spacing_um = 1000 * f.spacing_mm;
  v.noise_area = f.noise.area;
  v.noise_sd = std::min(f.noise.sd_mm, f.fit.residuals.rms);
  v.u_fit = range_repeatability(v.noise_sd, f.noise.area, f.points, v.left_out);
  const CertifiedItem item{artefact, "flatness"};
  v.budget = {calibration_line(item, artefact.flatness.U_mm),
              form_line(item, artefact.flatness.mm),
              drift_line(item, context.test_date),
              support_line(item),
              coating_line(item, 1),
              rounding_line(context.coordinate_step_mm, std::sqrt(2.0)),
              zone_line(varied[0], varied[1])};
  combine_budget(v);
  return v;
}

// Parameters of ISO 12781-1 about the least-squares plane; FLTt is the value itself.
void add_information(TestValue& v, const PlaneFit& fit, const PlateFeature& f, double share) {
  const FlatnessParameters about = flatness_parameters(fit.residuals);
  v.alternatives["FLTp"] = about.p;
  v.alternatives["FLTv"] = about.v;
  v.alternatives["FLTq"] = about.q;
  if (!f.zone.empty())
    v.alternatives["area_weighted"] =
        kept_range(plane_residuals(f.zone, area_weighted_plane(f)), share);
}

}  // namespace

std::vector<TestValue> plate_values(const Artefact& artefact,
                                    const PlateFeature& plate,
                                    const ValueContext& context) {
  std::vector<TestValue> out;
  if (!plate.fit.ok()) return out;
  const auto add = [&](const char* id,
                       double value,
                       std::size_t left_out,
                       const std::array<double, 2>& varied) -> TestValue& {
    out.push_back(plate_value(id, value, left_out, plate, varied, artefact, context));
    return out.back();
  };
  if (const auto* rule = rule_of(context, "flatness")) {
    const AllowedPlane a = rule->allowance == plate.share ? AllowedPlane{plate.fit, plate.left_out}
                           : rule->allowance == 0         ? AllowedPlane{plate.fit_all, 0}
                                                          : with_allowance(plate, rule->allowance);
    TestValue& v = add("flatness",
                       a.fit.residuals.range(),
                       a.left_out,
                       {plate.wider.flatness, plate.narrower.flatness});
    v.value_all_points = plate.flatness_all;
    if (const auto mz = plate.flatness_mz()) v.alternatives["minimum_zone"] = *mz;
    if (context.information) add_information(v, a.fit, plate, rule->allowance);
  }
  const auto planes = width_of(plate.enclosures, "parallel_planes");
  if (rule_of(context, "flat_distortion") && planes) {
    const double width = *planes;
    add("flat_distortion",
        width,
        0,
        {plate.wider.distortion.value_or(width), plate.narrower.distortion.value_or(width)});
  }
  const auto all = width_of(plate.enclosures, "minimum_zone_all");
  if (rule_of(context, "flatness_mz") && all) {
    const double width = *all;
    add("flatness_mz",
        width,
        0,
        {plate.wider.flatness_mz.value_or(width), plate.narrower.flatness_mz.value_or(width)});
  }
  return out;
}

}  // namespace rigproof
