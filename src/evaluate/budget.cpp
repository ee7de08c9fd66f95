#include "evaluate/budget.h"

#include <cmath>
#include <map>
#include <numbers>

#include "evaluate/distribution.h"

namespace rigproof {
namespace {

constexpr double kSqrt3 = std::numbers::sqrt3;
constexpr double kDaysPerYear = 365.25;
constexpr double kZoneDof = 8;

std::string key(const char* what, const CertifiedItem& item) {
  return std::string(what) + ":" + item.artefact.serial + ":" + item.name;
}

}  // namespace

BudgetLine calibration_line(const CertifiedItem& item, double U_mm) {
  const double k = item.artefact.k > 0 ? item.artefact.k : 2;
  return {"artefact calibration",
          U_mm / k,
          {},
          key("certificate", item),
          -1,
          LineShape::normal,
          "U/k",
          {{"U", U_mm, "mm"}, {"k", k, ""}}};
}

BudgetLine form_line(const CertifiedItem& item, double form_mm) {
  return {"artefact form",
          form_mm / 2,
          {},
          key("form", item),
          1,
          LineShape::normal,
          "F/2",
          {{"F", form_mm, "mm"}}};
}

BudgetLine drift_line(const CertifiedItem& item, const std::optional<Date>& test_date) {
  double years = 0;
  if (test_date && item.artefact.date) {
    const auto days =
        std::chrono::sys_days(*test_date) - std::chrono::sys_days(*item.artefact.date);
    years = std::abs(static_cast<double>(days.count())) / kDaysPerYear;
  }
  const double rate = std::abs(item.artefact.drift_mm_per_year);
  return {"drift since calibration",
          rate * years / kSqrt3,
          {},
          key("drift", item),
          -1,
          LineShape::rectangular,
          "D*t/sqrt(3)",
          {{"D", rate, "mm/year"}, {"t", years, "year"}}};
}

BudgetLine support_line(const CertifiedItem& item) {
  const double change = item.artefact.support_mm;
  return {"support",
          change / kSqrt3,
          {},
          key("support", item),
          1,
          LineShape::rectangular,
          "s/sqrt(3)",
          {{"s", change, "mm"}}};
}

BudgetLine bending_line(const CertifiedItem& item) {
  const Bending b = item.artefact.bending.value_or(Bending());
  const double slope = 1e-6 * b.slope_urad;
  return {"bending",
          2 * b.off_axis_mm * slope / kSqrt3,
          {},
          key("bending", item),
          1,
          LineShape::rectangular,
          "2*h*slope/sqrt(3)",
          {{"h", b.off_axis_mm, "mm"}, {"slope", slope, ""}}};
}

BudgetLine coating_line(const CertifiedItem& item, double sides) {
  return {"coating",
          sides * item.artefact.coating_mm / kSqrt3,
          {},
          key("coating", item),
          1,
          LineShape::rectangular,
          "n*c/sqrt(3)",
          {{"n", sides, ""}, {"c", item.artefact.coating_mm, "mm"}}};
}

BudgetLine rounding_line(double step_mm, double gain) {
  return {"coordinate rounding",
          step_mm / std::sqrt(12.0) * gain,
          {},
          {},
          1,
          LineShape::normal,
          "q/sqrt(12)*g",
          {{"q", step_mm, "mm"}, {"g", gain, ""}}};
}

BudgetLine zone_line(double wider_mm, double narrower_mm) {
  return {"zone choice",
          0.5 * std::abs(wider_mm - narrower_mm),
          kZoneDof,
          {},
          1,
          LineShape::normal,
          "abs(wider-narrower)/2",
          {{"wider", wider_mm, "mm"}, {"narrower", narrower_mm, "mm"}}};
}

void combine_budget(TestValue& value) {
  struct Group {
    double u = 0, over_dof = 0;  // Σ of signed u; Σ u⁴/ν
  };
  std::map<std::string, Group> shared;
  double square = 0, over_dof = 0;
  for (const BudgetLine& line : value.budget) {
    const double fourth = line.dof ? std::pow(line.u, 4) / *line.dof : 0;
    if (line.shared.empty()) {
      square += line.u * line.u;
      over_dof += fourth;
    } else {
      shared[line.shared].u += line.sensitivity * line.u;
      shared[line.shared].over_dof += fourth;
    }
  }
  for (const auto& [name, group] : shared) {
    square += group.u * group.u;
    over_dof += group.over_dof;
  }
  value.u = std::sqrt(square);
  value.dof.reset();
  if (over_dof > 0) {
    const double dof = std::floor(square * square / over_dof * (1 + 1e-12));
    if (dof < 1e6) value.dof = std::max(1.0, dof);  // beyond that t is normal to 1e-6
  }
  value.k = coverage_factor(0.9545, value.dof);
  value.U = value.k * value.u;
}

void with_pooled_noise(TestValue& value, const ZoneNoise& pooled) {
  if (pooled.pairs == 0 || !(value.noise_area > 0)) return;
  if (value.noise_sd > 0)
    value.u_fit = range_repeatability(value.noise_sd, pooled.area, value.points, value.left_out);
  else
    value.u_fit *= std::sqrt(pooled.area / value.noise_area);
  value.noise_area = pooled.area;
}

}  // namespace rigproof
