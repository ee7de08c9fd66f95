#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/format.h>

#include "report/bar_plot.h"
#include "report/drift_plot.h"
#include "report/plain_text.h"
#include "report/sections.h"
#include "report/statements.h"
#include "report/svg_canvas.h"

namespace rigproof {
namespace {

// Two significant digits of the uncertainty decide the decimals (JCGM 100:2008, 7.2.6).
int decimals_of(double u) {
  return u > 0 ? static_cast<int>(std::clamp(1 - std::floor(std::log10(u)), 0.0, 6.0)) : 3;
}

// Results spell units in ASCII.
std::string unit_words(const std::string& unit) {
  return unit == "um" ? "µm" : unit == "urad" ? "µrad" : plain_text(unit, 20);
}

std::string cause_name(const ReportContext& context, const std::string& id) {
  const std::string key = "cause." + id;
  return context.language.has(key) ? context.t(key) : plain_text(id, 60);
}

std::string cause_name(const ReportContext& context, const Cause& cause) {
  const std::string name = cause_name(context, cause.id);
  if (cause.zone.empty()) return name;
  return context.t("cause.in-zone", {{"cause", name}, {"zone", context.place(cause.zone)}});
}

std::string sides(const ReportContext& context, const std::vector<std::string>& ids) {
  std::string text;
  for (const std::string& id : ids)
    text += (text.empty() ? "" : " " + context.t("diagnosis.or") + " ") + cause_name(context, id);
  return text;
}

void add_shares(PageData& page, const ReportContext& context) {
  std::vector<BarRow> bars;
  for (const Cause& c : context.results.diagnosis.causes)
    bars.push_back({cause_name(context, c), c.share, context.numbers.percent(c.share, 0)});
  if (bars.empty()) return;
  SvgCanvas svg("causes", 480, bars_height(bars.size()));
  draw_bars(svg, bars, 480);
  page.html("cause_bars",
            svg.finish(context.t("diagnosis.bars"), context.t("diagnosis.bars-description")));
}

std::vector<DriftPoint> drift_points(const ReportContext& context) {
  std::map<std::string, int> order;
  for (const ScanRecord& s : context.results.scans) {
    const int n = static_cast<int>(order.size()) + 1;
    order[s.file] = n;
  }
  std::vector<DriftPoint> points;
  for (const auto& c : context.results.characteristics) {
    if (c.id != "sphere_spacing" && c.id != "center_distance") continue;
    for (const auto& v : c.values) {
      const std::string& label = context.label(v.value.scan);
      points.push_back({order[v.value.scan],
                        context.numbers.to_small(v.value.value),
                        context.numbers.to_small(v.value.U),
                        label,
                        label + " · " + value_words(context, v),
                        label + v.value.artefact + v.value.pair.first + v.value.pair.second});
    }
    break;
  }
  std::ranges::stable_sort(points, {}, &DriftPoint::scan);
  return points;
}

void temperature_fact(PageData& page, const std::string& label, const std::string& value) {
  page.add("temperature").text("label", label).text("value", value);
}

}  // namespace

void fill_diagnosis(PageData& page, const ReportContext& context) {
  const Diagnosis& d = context.results.diagnosis;
  page.text("diagnosis_state",
            context.t(!d.ran             ? "diagnosis.not-run"
                      : d.clean          ? "diagnosis.clean"
                      : d.causes.empty() ? "diagnosis.impossible"
                                         : "diagnosis.found"));
  page.flag("has_left", d.ran && d.chi2_per_dof > 0);
  page.text("diagnosis_left",
            context.t("diagnosis.left",
                      {{"times", context.numbers.number(std::sqrt(d.chi2_per_dof), 1)}}));
  for (const Cause& c : d.causes) {
    const int decimals = decimals_of(c.u);
    page.add("causes")
        .text("name", cause_name(context, c))
        .text("coefficient", context.numbers.number(c.coefficient, decimals))
        .text("u", context.numbers.number(c.u, decimals))
        .text("unit", unit_words(c.unit))
        .text("chi2", context.numbers.number(c.chi2_drop, 1))
        .text("share", context.numbers.percent(c.share, 0));
  }
  page.flag("has_causes", !d.causes.empty());
  add_shares(page, context);
  for (const auto& group : d.indistinguishable)
    page.add("indistinguishable").text("names", sides(context, group));
  page.flag("has_indistinguishable", !d.indistinguishable.empty());
  for (const std::string& line : d.advice)
    page.add("advice").text("line", context.language.phrase(line));
  page.flag("has_advice", !d.advice.empty());
  for (const DetectionLimit& l : d.detection_limits)
    page.add("detection")
        .text("name", cause_name(context, l.id))
        .text("value", context.numbers.number(l.value, decimals_of(l.value)))
        .text("unit", unit_words(l.unit))
        .text("worst", context.numbers.small(l.worst_sd, 1));
  page.flag("has_detection", !d.detection_limits.empty());
}

void fill_drift(PageData& page, const ReportContext& context) {
  const std::vector<DriftPoint> points = drift_points(context);
  page.flag("has_drift", !points.empty());
  if (!points.empty()) {
    SvgCanvas svg("drift", 560, 220);
    draw_drift(svg,
               points,
               560,
               220,
               context.t("plot.scan-number"),
               context.t("plot.deviation", {{"unit", context.numbers.small_unit()}}),
               context.numbers);
    page.html("drift", svg.finish(context.t("drift.title"), context.t("drift.description")));
  }
  const Environment& e = context.results.session.environment;
  const NumberStyle& n = context.numbers;
  const auto celsius = [&](double C) { return n.number(C, 1) + "\u00a0°C"; };
  if (e.artefact_C) temperature_fact(page, context.t("temperature.start"), celsius(*e.artefact_C));
  if (e.artefact_C_end)
    temperature_fact(page, context.t("temperature.end"), celsius(*e.artefact_C_end));
  const ArtefactTemperature& t = context.results.temperature;
  temperature_fact(page,
                   context.t("temperature.used"),
                   celsius(t.C) + " (u = " + n.number(t.u_C, 2) + "\u00a0K, " +
                       context.language.phrase(plain_text(t.basis, 80)) + ")");
  if (e.soaked_h)
    temperature_fact(page, context.t("temperature.soaked"), n.number(*e.soaked_h, 1) + "\u00a0h");
}

}  // namespace rigproof
