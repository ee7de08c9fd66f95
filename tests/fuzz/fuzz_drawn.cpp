// Results of any content: what is read as such can be drawn, into every part of the engineer's
// report, the words of the certificate and the charts of a history.
#include <array>
#include <cstdlib>

#include "base/error.h"
#include "fuzz/json_mutator.h"
#include "fuzz/small_results.h"
#include "record/results_json.h"
#include "record/results_reader.h"
#include "record/trend.h"
#include "report/certificate_content.h"
#include "report/control_chart.h"
#include "report/sections.h"
#include "report/svg_canvas.h"

namespace {

using namespace rigproof;

// A ball's and a plate's of the invented session, with enough points for every plot.
std::vector<std::array<float, 4>> picture_of(bool sphere) {
  for (const ScanRecord& scan : sample_results().scans)
    for (const FeatureRecord& f : scan.features)
      if (f.sphere == sphere) return {f.picture.begin(), f.picture.begin() + 150};
  std::abort();
}

// Pictures lie in a file of their own.
void lend_pictures(Results& results) {
  static const auto of_ball = picture_of(true), of_plate = picture_of(false);
  for (ScanRecord& scan : results.scans)
    for (FeatureRecord& f : scan.features) f.picture = f.sphere ? of_ball : of_plate;
}

// Without the templates and scripts around them, which hold nothing of the document.
void draw_report(const Results& results, const std::string& text) {
  ReportOptions options;
  options.results_text = text;
  const ReportContext context(results, options);
  PageData page;
  for (const auto fill : {fill_verdict,
                          fill_volume,
                          fill_characteristics,
                          fill_positions,
                          fill_zones,
                          fill_diagnosis,
                          fill_drift,
                          fill_budgets,
                          fill_record})
    fill(page, context);
  certificate_content(context);
}

// As many checks of these results as a chart has limits and trends from.
void draw_history(const Results& results) {
  const auto check = history_check(results, "2026-03-14T12:00:00Z");
  if (!check) return;
  constexpr int checks = 7;
  std::vector<HistoryCheck> all(checks, *check);
  for (int i = 0; i < checks; ++i) {
    all[i].session += std::to_string(i);
    all[i].day = "2026-03-1" + std::to_string(i);
    for (HistoryValue& v : all[i].values) v.value *= i;
  }
  const Trend trend = make_trend(std::move(all), {});
  for (const TrendSeries& series : trend.series) {
    text_control_chart(series, 60, 11);
    SvgCanvas svg("chart", 860, 280);
    draw_control_chart(svg, series, {}, 860, 280, NumberStyle("en", false));
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  try {
    const std::string text(reinterpret_cast<const char*>(data), size);
    Results results = results_from_json(text, small_results().session).results;
    lend_pictures(results);
    draw_report(results, text);
    draw_history(results);
  } catch (const Error& error) {
    if (error.kind() != ErrorKind::data) std::abort();
  }
  return 0;
}
