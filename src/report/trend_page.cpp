#include "report/trend_page.h"

#include <cmath>

#include <fmt/format.h>

#include "base/number.h"
#include "report/assets.h"
#include "report/control_chart.h"
#include "report/html_page.h"
#include "report/page_template.h"
#include "report/plain_text.h"
#include "report/svg_canvas.h"

namespace rigproof {
namespace {

const std::vector<std::string> kStyles{"page.css", "plots.css", "history.css"};

std::string glyph(const std::string& verdict) {
  if (verdict == "within") return "✓";
  if (verdict == "outside") return "✕";
  return verdict == "undecided" ? "≈" : "?";
}

void add_series(PageData& page, const Trend& trend, std::size_t index, const NumberStyle& numbers) {
  const TrendSeries& series = trend.series[index];
  SvgCanvas canvas(fmt::format("chart{}", index), 860, 280);
  draw_control_chart(canvas, series, trend.events, 860, 280, numbers);
  PageData& row = page.add(series.mean ? "means" : "places");
  row.text("title", series.id);
  std::string words;
  for (const TrendPhase& phase : series.phases)
    if (const std::string said = phase_words(series, phase); !said.empty())
      words += (words.empty() ? "" : " ") + said;
  if (series.forecast) words += " " + forecast_words(*series.forecast);
  row.text("words", words);
  row.html("chart",
           canvas.finish(series.id, fmt::format("{} checks over time", series.points.size())));
}

}  // namespace

std::string phase_words(const TrendSeries& series, const TrendPhase& phase) {
  const SeriesUnit unit = shown_unit(series);
  const std::string since = series.points[phase.first].day;
  if (phase.baseline == 0)
    return fmt::format("Since {}: {} check{}, too few for limits.",
                       since,
                       phase.count,
                       phase.count == 1 ? "" : "s");
  std::string out = fmt::format("Since {}: mean {} {}, limits {} to {}{}.",
                                since,
                                fixed(phase.individuals.mean * unit.factor, 1),
                                unit.name,
                                fixed(phase.individuals.lower * unit.factor, 1),
                                fixed(phase.individuals.upper * unit.factor, 1),
                                phase.provisional ? " (provisional)" : "");
  if (!phase.alarms.empty())
    out += fmt::format(
        " {} outside, first on {}.", phase.alarms.size(), series.points[phase.alarms.front()].day);
  if (phase.step)
    out += fmt::format(" Stepped by {} {} on {}.",
                       fixed((phase.step->after - phase.step->before) * unit.factor, 1),
                       unit.name,
                       series.points[phase.first + phase.step->first].day);
  if (phase.slope)
    out += fmt::format(" {} by {} {} in 30 days.",
                       phase.slope->slope > 0 ? "Rises" : "Falls",
                       fixed(std::abs(phase.slope->slope) * 30 * unit.factor, 2),
                       unit.name);
  return out;
}

std::string forecast_words(const Forecast& f) {
  return fmt::format(
      "If it goes on, |value| + U reaches the limit of {} µm between {} and {} (most "
      "likely {}).",
      fixed(f.limit * 1000, 1),
      f.earliest,
      f.latest.value_or("an open end"),
      f.expected);
}

std::string window_words(const SuspectWindow& w) {
  if (w.from_day.empty())
    return fmt::format("Everything measured up to {} is suspect: no check before {} was good.",
                       w.to_day,
                       w.to_session);
  return fmt::format("What was measured from {} to {} is suspect: {} was good, {} was outside.",
                     w.from_day,
                     w.to_day,
                     w.from_session,
                     w.to_session);
}

std::string trend_html(const Trend& trend, const ReportOptions& options) {
  const auto assets = assets_folder(options);
  const NumberStyle numbers("en", false);
  PageData page;
  add_styles(page, assets, kStyles);
  page.text("rig", trend.rig + "/" + trend.field);
  page.text("count", std::to_string(trend.checks.size()));
  if (!trend.checks.empty()) {
    page.text("from", trend.checks.front().day);
    page.text("to", trend.checks.back().day);
  }
  page.text("forecast",
            trend.forecast ? trend.forecast->series + ": " + forecast_words(*trend.forecast) : "");
  for (const SuspectWindow& window : trend.suspect)
    page.add("suspect").text("words", window_words(window));
  for (const HistoryEvent& event : trend.events)
    page.add("events").text("day", event.day).text("kind", event.kind).text("note", event.note);
  page.flag("has_events", !trend.events.empty());
  for (std::size_t i = 0; i < trend.series.size(); ++i) add_series(page, trend, i, numbers);
  for (auto it = trend.checks.rbegin(); it != trend.checks.rend(); ++it)
    page.add("checks")
        .text("day", it->day)
        .text("session", it->session)
        .text("kind", it->kind)
        .text("verdict", glyph(it->verdict) + " " + it->verdict)
        .text("mark", it->verdict)
        .text("headline", it->headline)
        .text("calibration", it->calibration.substr(0, 12));
  return render_template(assets / "templates" / "trend.mustache", page);
}

std::string rigs_html(const std::vector<RigStatus>& rigs,
                      const std::string& today,
                      const ReportOptions& options) {
  const auto assets = assets_folder(options);
  PageData page;
  add_styles(page, assets, kStyles);
  page.text("today", today);
  for (const RigStatus& rig : rigs) {
    std::string findings;
    for (const std::string& id : rig.open_findings) findings += (findings.empty() ? "" : ", ") + id;
    page.add("rigs")
        .text("rig", rig.rig + "/" + rig.field)
        .text("verdict", glyph(rig.verdict) + " " + rig.verdict)
        .text("mark", rig.verdict)
        .text("margin", rig.margin ? fixed(*rig.margin * 100, 0) + " %" : "–")
        .text("days", std::to_string(rig.days_since))
        .text("day", rig.day)
        .text("session", rig.session)
        .text("forecast", rig.forecast ? rig.forecast->earliest : "–")
        .text("findings", findings.empty() ? "–" : findings)
        .text("suspect", rig.suspect ? window_words(*rig.suspect) : "");
  }
  return render_template(assets / "templates" / "rigs.mustache", page);
}

}  // namespace rigproof
