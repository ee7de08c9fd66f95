#include <cmath>

#include <fmt/format.h>

#include "base/number.h"
#include "evaluate/thermometer.h"
#include "report/explain_page.h"
#include "report/plain_text.h"

namespace rigproof {
namespace {

bool fixed_radius(const Explanation& e) {
  return e.value().id == "sphere_spacing" &&
         e.results->session.procedure.center_radius == RadiusRule::fixed;
}

// The fit that the value comes from.
const FitRecord& fit_of(const Explanation& e, const FeatureRecord& f) {
  if (fixed_radius(e) && f.fit_fixed) return *f.fit_fixed;
  return e.rule && e.rule->allowance > 0 ? f.fit : f.fit_all;
}

std::string feature_name(const FeatureRecord& f) {
  return f.sphere ? "ball " + plain_text(f.ball) : "plate";
}

std::string triple(const Vec3& v, int digits) {
  return fmt::format(
      "({}, {}, {})", fixed(v.x(), digits), fixed(v.y(), digits), fixed(v.z(), digits));
}

void ball_zone(ExplainPage& page, const FeatureRecord& f, const ZoneRules& z) {
  page.line(fmt::format("zone: shell +- {:g} r ({} mm) about the fit of all its points,",
                        z.ball_gate_share,
                        fixed(z.ball_gate_share * f.fit_all.radius, 3)));
  page.line(fmt::format("cap of {:g} deg about the {} {}",
                        z.cap_half_angle_deg,
                        f.axis_from.empty() ? "axis" : f.axis_from,
                        triple(f.axis, 4)));
  if (f.holder_deg > 0)
    page.line(fmt::format("outside the holder's cone of {:g} deg about {}, {}",
                          f.holder_deg,
                          triple(f.holder_axis, 4),
                          f.holder_found ? "found in the scan" : "declared with the artefact"));
  page.line(fmt::format("seen {} deg of the ball; the zone reaches {} deg",
                        fixed(f.seen_half_angle_deg, 1),
                        fixed(f.cap_half_angle_deg, 1)));
}

void plate_zone(ExplainPage& page, const FeatureRecord& f, const ZoneRules& z) {
  page.line(fmt::format(
      "zone: +- {:g} mm about the plane of all its points, {} x {} mm inside the border,",
      z.plate_gate_mm,
      fixed(f.length_mm, 2),
      fixed(f.width_mm, 2)));
  page.line(fmt::format("inside the measuring volume: {} mm^2", fixed(f.area_mm2, 0)));
  page.line(fmt::format("rectangle: centre {} mm,", triple(f.middle, 4)));
  page.line(
      fmt::format("length along {}, width along {}", triple(f.axis_u, 7), triple(f.axis_v, 7)));
}

void fit_lines(ExplainPage& page, const std::string& title, const FitRecord& fit, bool sphere) {
  page.line(fmt::format("{}: {} points, residuals rms {}, min {}, max {} um",
                        title,
                        fit.points,
                        um(fit.rms),
                        um(fit.min),
                        um(fit.max)));
  page.line(fmt::format("  {} ({}, {}, {}) mm{}",
                        sphere ? "centre" : "point",
                        mm(fit.center.x()),
                        mm(fit.center.y()),
                        mm(fit.center.z()),
                        sphere ? ", radius " + mm(fit.radius) + " mm" : ""));
  if (!sphere)
    page.line(fmt::format("  normal ({}, {}, {})",
                          fixed(fit.normal.x(), 9),
                          fixed(fit.normal.y(), 9),
                          fixed(fit.normal.z(), 9)));
}

// The equation of the measured value, from what it rests on beside the printed fits or from them.
void measured(ExplainPage& page, const Explanation& e) {
  if (explain_evidence(page, e)) return;
  const TestValue& v = e.value();
  std::string expression;
  double result = NAN;
  if (!v.pair.first.empty() && e.features.size() == 2) {
    const Vec3 a = fit_of(e, *e.features[0]).center, b = fit_of(e, *e.features[1]).center;
    for (int k = 0; k < 3; ++k)
      expression += fmt::format("{}({}-{})^2", k ? "+" : "", mm(b[k]), bracketed(a[k]));
    expression = "sqrt(" + expression + ")";
    result = (b - a).norm();
  } else if (e.features.size() == 1) {
    const FitRecord& fit = fit_of(e, *e.features[0]);
    if (v.signed_value) {
      expression = "2*" + mm(fit.radius);
      result = 2 * fit.radius;
    } else {
      expression = mm(fit.max) + "-" + bracketed(fit.min);
      result = fit.max - fit.min;
    }
  }
  if (std::abs(result - v.measured) < 1e-7)
    page.equation("measured", expression, mm(v.measured), "mm");
  else
    page.line("measured = " + mm(v.measured) + " mm, from the points as defined above");
}

// Half of a change between start and end is the half-width of a rectangle.
void uncertainty_of_temperature(ExplainPage& page,
                                const Environment& env,
                                const ArtefactTemperature& t) {
  if (rectangular(t))
    page.equation("u_T", "5/sqrt(3)", number(t.u_C), "K");
  else if (env.artefact_C && env.artefact_C_end)
    page.equation("u_T",
                  fmt::format("sqrt({}^2+(abs({}-({}))/2/sqrt(3))^2)",
                              number(reading_uncertainty(env)),
                              number(*env.artefact_C_end),
                              number(*env.artefact_C)),
                  number(t.u_C),
                  "K");
  else
    page.line("u_T = " + number(t.u_C) + " K" +
              (env.u_artefact_C ? ", as given" : ", common practice for such a reading"));
}

void reference(ExplainPage& page, const Explanation& e) {
  const TestValue& v = e.value();
  const Environment& env = e.results->session.environment;
  const ArtefactTemperature& t = e.results->temperature;
  if (env.artefact_C && env.artefact_C_end)
    page.equation("T",
                  "(" + number(*env.artefact_C) + "+" + number(*env.artefact_C_end) + ")/2",
                  number(t.C),
                  "C");
  page.line(fmt::format("temperature T = {} C: {}", number(t.C), plain_text(t.basis)));
  uncertainty_of_temperature(page, env, t);
  page.line("reference = L*(1+alpha*(T-T0))");
  page.equation("reference",
                fmt::format("{}*(1+{}*({}-{}))",
                            number(v.nominal_length),
                            number(e.artefact->alpha_per_K),
                            number(t.C),
                            number(e.artefact->reference_C)),
                mm(v.reference),
                "mm");
}

}  // namespace

void explain_points(ExplainPage& page, const Explanation& e) {
  page.section("Points");
  const ZoneRules& zones = e.results->session.procedure.zones;
  if (e.scan) {
    page.line(fmt::format("{}: {}, {} points, {} not numbers and left out",
                          plain_text(e.scan->file),
                          plain_text(e.scan->format),
                          e.scan->points,
                          e.scan->dropped));
    page.line("sha256 " + e.scan->sha256);
    page.line("scan " + to_string(e.scan->status) +
              (e.scan->reason.empty() ? "" : ": " + plain_text(e.scan->reason, 300)));
  }
  for (const FeatureRecord* f : e.features) {
    page.line(feature_name(*f));
    if (f->sphere)
      ball_zone(page, *f, zones);
    else
      plate_zone(page, *f, zones);
    page.line(
        fmt::format("{} points in the zone; {} strays between 1 and {:g} gates, printed only{}",
                    f->points,
                    f->strays,
                    zones.stray_gates,
                    f->holder_found ? ", counted before the found cone was left out" : ""));
    page.line(fmt::format(
        "zone and fit repeated {} times, {}", f->rounds, f->settled ? "settled" : "NOT settled"));
  }
  page.line(fmt::format("point spacing {} um", fixed(e.value().spacing_um, 1)));
}

void explain_fits(ExplainPage& page, const Explanation& e) {
  page.section("Least-squares fits, sensor frame (right, down, away)");
  if (e.rule && e.rule->allowance > 0)
    page.line(
        fmt::format("allowance {:g}: floor(share*n) points of largest |residual| left out, {} in "
                    "all, one refit",
                    e.rule->allowance,
                    e.value().left_out));
  else
    page.line("allowance 0: every point of the zone counts");
  for (const FeatureRecord* f : e.features) {
    fit_lines(page, feature_name(*f) + ", nothing left out", f->fit_all, f->sphere);
    if (f->left_out > 0)
      fit_lines(
          page, fmt::format("{}, {} left out", feature_name(*f), f->left_out), f->fit, f->sphere);
    if (f->fit_fixed)
      fit_lines(page, feature_name(*f) + ", calibrated radius held", *f->fit_fixed, true);
  }
}

void explain_value(ExplainPage& page, const Explanation& e) {
  page.section("Value");
  const TestValue& v = e.value();
  measured(page, e);
  if (v.signed_value && e.artefact) {
    reference(page, e);
    page.equation("e", mm(v.measured) + "-" + mm(v.reference), mm(v.value), "mm");
  } else {
    page.line("e = " + mm(v.value) + " mm, the measured value");
  }
  page.line("with nothing left out: " + mm(v.value_all_points) + " mm");
  explain_alternatives(page, e);
}

}  // namespace rigproof
