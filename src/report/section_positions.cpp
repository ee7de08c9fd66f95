#include <algorithm>
#include <map>

#include <fmt/format.h>

#include "report/deviation_map.h"
#include "report/plain_text.h"
#include "report/residual_plots.h"
#include "report/sections.h"
#include "report/svg_canvas.h"

namespace rigproof {
namespace {

constexpr double kMap = 150, kPlotWidth = 230, kPlotHeight = 150;

struct MapScales {
  double ball_mm = 0, plate_mm = 0, residual_mm = 0;
  bool balls = false, plates = false;
};

double limit_of(const Results& results, std::initializer_list<const char*> ids) {
  for (const char* id : ids) {
    const auto it = results.session.limits.by_characteristic.find(id);
    if (it != results.session.limits.by_characteristic.end()) return it->second.A_mm;
  }
  return 0;
}

MapScales scales(const Results& results) {
  MapScales s;
  std::vector<DeviationField> balls, plates;
  std::vector<const FeatureRecord*> features;
  for (const auto& scan : results.scans) {
    for (const auto& f : scan.features) {
      if (f.picture.empty()) continue;
      (f.sphere ? balls : plates).push_back(deviation_field(f));
      features.push_back(&f);
    }
  }
  s.balls = !balls.empty();
  s.plates = !plates.empty();
  s.ball_mm = map_scale(limit_of(results, {"probing_form", "form_dispersion"}), balls);
  s.plate_mm = map_scale(limit_of(results, {"flatness", "flat_distortion"}), plates);
  s.residual_mm = residual_range(features);
  return s;
}

std::string counts_words(const ReportContext& context, const FeatureRecord& f) {
  const NumberStyle& n = context.numbers;
  std::string text = context.t("card.counts",
                               {{"points", n.count(f.points)},
                                {"left_out", n.count(f.left_out)},
                                {"strays", n.count(f.strays)},
                                {"rms", n.small_with_unit(f.rms, 1)},
                                {"form", n.small_with_unit(f.form, 1)}});
  if (f.form_mz) text += " · " + context.t("card.mz", {{"form", n.small_with_unit(*f.form_mz, 1)}});
  if (f.sphere)
    text += " · " + context.t("card.cap", {{"deg", n.number(f.cap_half_angle_deg, 0)}});
  else
    text += " · " + n.large(f.length_mm, n.inch() ? 2 : 0) + " × " +
            n.large_with_unit(f.width_mm, n.inch() ? 2 : 0);
  return text;
}

void add_feature(PageData& card,
                 const ReportContext& context,
                 const FeatureRecord& f,
                 const std::string& id,
                 const MapScales& s) {
  PageData& data = card.add("features");
  data.text(
      "ball",
      f.sphere && !f.ball.empty() ? context.t("card.ball", {{"id", plain_text(f.ball, 40)}}) : "");
  data.text("counts", counts_words(context, f));
  if (f.picture.empty()) {
    data.text("no_picture", context.t("card.no-picture"));
    return;
  }
  const std::string unit = context.numbers.small_unit();
  SvgCanvas map(id + "-map", kMap, kMap);
  draw(map, deviation_field(f), f.sphere ? s.ball_mm : s.plate_mm, kMap, kMap);
  data.html(
      "map",
      map.finish(context.t("card.map"), context.t(f.sphere ? "card.map-ball" : "card.map-plate")));
  SvgCanvas histogram(id + "-hist", kPlotWidth, kPlotHeight);
  draw_histogram(histogram,
                 f,
                 s.residual_mm,
                 kPlotWidth,
                 kPlotHeight,
                 {context.t("plot.residual", {{"unit", unit}}), context.t("plot.share")},
                 context.numbers);
  data.html("histogram",
            histogram.finish(context.t("card.histogram"), context.t("card.histogram-description")));
  SvgCanvas incidence(id + "-inc", kPlotWidth, kPlotHeight);
  draw_incidence(incidence,
                 f,
                 s.residual_mm,
                 kPlotWidth,
                 kPlotHeight,
                 {context.t("plot.incidence"), context.t("plot.residual", {{"unit", unit}})},
                 context.numbers);
  data.html("incidence",
            incidence.finish(context.t("card.incidence"), context.t("card.incidence-description")));
}

void add_key(PageData& page,
             const ReportContext& context,
             const std::string& title,
             const std::string& id,
             double full_mm) {
  SvgCanvas key(id, 320, 56);
  draw_map_key(
      key, full_mm, 320, context.numbers, context.t("card.no-data"), context.t("card.beyond"));
  page.add("keys")
      .text("title", title)
      .html("svg", key.finish(title, context.t("card.key-description")));
}

std::string card_values(const ReportContext& context, const std::string& scan) {
  std::string text;
  for (const auto& c : context.results.characteristics) {
    for (const auto& v : c.values) {
      if (v.value.scan != scan || !v.decision) continue;
      const int d = context.numbers.decimals_for(v.value.value, v.value.U, v.decision->limit);
      if (!text.empty()) text += " · ";
      text += plain_text(c.symbol, 20) +
              (v.value.ball.empty() ? "" : " " + plain_text(v.value.ball, 20)) + " " +
              context.numbers.small_with_unit(v.value.value, d) + " " +
              std::string(ReportContext::glyph(v.decision->verdict));
    }
  }
  return text;
}

}  // namespace

void fill_positions(PageData& page, const ReportContext& context) {
  const MapScales s = scales(context.results);
  if (s.balls) add_key(page, context, context.t("card.key-balls"), "key-balls", s.ball_mm);
  if (s.plates) add_key(page, context, context.t("card.key-plates"), "key-plates", s.plate_mm);
  std::map<std::string, int> seen;
  int number = 0;
  for (const ScanRecord& scan : context.results.scans) {
    ++number;
    if (scan.features.empty()) continue;
    PageData& card = page.add("cards");
    const std::string& label = context.label(scan.file);
    const bool first = seen[label]++ == 0;
    card.text("key", label).text("file", scan.file).text("artefact", scan.artefact);
    card.text("anchor", first ? "pos-" + label : fmt::format("pos-{}-{}", label, seen[label]));
    card.text("zone", context.place(plain_text(scan.zone, 60)));
    card.text("status",
              scan.status == ScanStatus::used ? "" : context.t("status." + to_string(scan.status)));
    card.text("values", card_values(context, scan.file));
    for (std::size_t i = 0; i < scan.features.size(); ++i)
      add_feature(card, context, scan.features[i], fmt::format("s{}-{}", number, i), s);
  }
}

}  // namespace rigproof
