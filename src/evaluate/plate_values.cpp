#include <algorithm>
#include <cmath>

#include "evaluate/budget.h"
#include "evaluate/dispersion.h"
#include "evaluate/value_parts.h"

namespace rigproof {
namespace {

constexpr double kDispersionShare = 0.95;

TestValue plate_value(const char* id,
                      double value,
                      bool left,
                      const Artefact& artefact,
                      const PlateFeature& f,
                      const ValueContext& context) {
  TestValue v = start_value(id, artefact, context, f.center);
  v.direction = f.fit.plane.normal;
  v.measured = v.value = value;
  v.value_all_points = f.flatness_all;
  v.signed_value = false;
  v.nominal_length = artefact.length_mm;
  v.points = f.points;
  v.left_out = left ? f.left_out : 0;
  v.spacing_um = 1000 * f.spacing_mm;
  v.noise_area = f.noise.area;
  v.u_fit = range_repeatability(
      std::min(f.noise.sd_mm, f.fit.residuals.rms), f.noise.area, f.points, v.left_out);
  const CertifiedItem item{artefact, "flatness"};
  v.budget = {calibration_line(item, artefact.flatness.U_mm),
              form_line(item, artefact.flatness.mm),
              drift_line(item, context.test_date),
              coating_line(item, 1),
              rounding_line(context.coordinate_step_mm, std::sqrt(2.0)),
              zone_line(f.zone_flatness)};
  combine_budget(v);
  return v;
}

}  // namespace

std::vector<TestValue> plate_values(const Artefact& artefact,
                                    const PlateFeature& plate,
                                    const ValueContext& context) {
  std::vector<TestValue> out;
  if (!plate.fit.ok()) return out;
  const auto add = [&](const char* id, double value, bool left) -> TestValue& {
    out.push_back(plate_value(id, value, left, artefact, plate, context));
    return out.back();
  };
  if (const auto* rule = rule_of(context, "flatness")) {
    const bool left = rule->allowance > 0;
    TestValue& v = add("flatness", left ? plate.flatness : plate.flatness_all, left);
    if (plate.flatness_mz) v.alternatives["minimum_zone"] = *plate.flatness_mz;
  }
  if (rule_of(context, "flat_distortion") && !plate.zone.empty()) {
    TestValue& v =
        add("flat_distortion",
            shortest_interval(plane_residuals(plate.zone, plate.fit_all.plane), kDispersionShare),
            false);
    v.value_all_points = v.value;
  }
  if (rule_of(context, "flatness_mz") && plate.flatness_mz)
    add("flatness_mz", *plate.flatness_mz, plate.left_out > 0);
  return out;
}

}  // namespace rigproof
