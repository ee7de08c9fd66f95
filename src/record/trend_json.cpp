#include "record/trend_json.h"

#include "base/number.h"
#include "record/csv.h"
#include "record/json_parts.h"

namespace rigproof {
namespace {

Json forecast(const std::optional<Forecast>& f) {
  if (!f) return nullptr;
  return {{"series", f->series},
          {"limit", f->limit},
          {"earliest", f->earliest},
          {"expected", f->expected},
          {"latest", or_null(f->latest)}};
}

Json window(const SuspectWindow& w) {
  return {{"from", {{"day", w.from_day}, {"session", w.from_session}}},
          {"to", {{"day", w.to_day}, {"session", w.to_session}}}};
}

Json phase(const TrendSeries& series, const TrendPhase& p) {
  const auto day = [&](std::size_t i) { return series.points[i].day; };
  Json j{{"from", day(p.first)},
         {"to", day(p.first + p.count - 1)},
         {"checks", p.count},
         {"calibration", p.calibration},
         {"limits", nullptr}};
  if (p.baseline > 0)
    j["limits"] = {{"provisional", p.provisional},
                   {"from_checks", p.baseline},
                   {"mean", p.individuals.mean},
                   {"sigma", p.individuals.sigma},
                   {"lower", p.individuals.lower},
                   {"upper", p.individuals.upper},
                   {"moving_range_mean", p.individuals.mean_range},
                   {"moving_range_upper", p.individuals.range_upper},
                   {"ewma", p.ewma.z},
                   {"ewma_half_width", p.ewma.half_width}};
  j["alarms"] = Json::array();
  for (const std::size_t i : p.alarms) j["alarms"].push_back(day(i));
  j["slope_per_day"] = p.slope ? Json(p.slope->slope) : Json(nullptr);
  j["step"] = p.step ? Json{{"on", day(p.first + p.step->first)},
                            {"before", p.step->before},
                            {"after", p.step->after}}
                     : Json(nullptr);
  return j;
}

Json series(const TrendSeries& s) {
  Json points = Json::array(), phases = Json::array();
  for (const TrendPoint& p : s.points)
    points.push_back({{"day", p.day},
                      {"session", p.session},
                      {"value", p.value},
                      {"U", p.U},
                      {"limit", or_null(p.limit)}});
  for (const TrendPhase& p : s.phases) phases.push_back(phase(s, p));
  return {{"id", s.id},
          {"unit", s.unit},
          {"mean", s.mean},
          {"points", std::move(points)},
          {"phases", std::move(phases)},
          {"forecast", forecast(s.forecast)}};
}

std::string dump(const Json& j) {
  return j.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace

std::string trend_json(const Trend& t) {
  Json j{{"schema", "rigproof-trend-1"}, {"rig", t.rig}, {"field", t.field}};
  j["checks"] = Json::array();
  for (const HistoryCheck& c : t.checks)
    j["checks"].push_back({{"day", c.day},
                           {"session", c.session},
                           {"kind", c.kind},
                           {"verdict", c.verdict},
                           {"headline", c.headline},
                           {"calibration", c.calibration}});
  j["events"] = Json::array();
  for (const HistoryEvent& e : t.events)
    j["events"].push_back({{"day", e.day}, {"kind", e.kind}, {"note", e.note}});
  j["series"] = Json::array();
  for (const TrendSeries& s : t.series) j["series"].push_back(series(s));
  j["suspect"] = Json::array();
  for (const SuspectWindow& w : t.suspect) j["suspect"].push_back(window(w));
  j["forecast"] = forecast(t.forecast);
  return dump(j);
}

std::string rigs_json(const std::vector<RigStatus>& rigs, const std::string& today) {
  Json j{{"schema", "rigproof-rigs-1"}, {"on", today}};
  j["rigs"] = Json::array();
  for (const RigStatus& r : rigs)
    j["rigs"].push_back({{"rig", r.rig},
                         {"field", r.field},
                         {"verdict", r.verdict},
                         {"margin", or_null(r.margin)},
                         {"days_since", r.days_since},
                         {"day", r.day},
                         {"session", r.session},
                         {"kind", r.kind},
                         {"checks", r.checks},
                         {"forecast", forecast(r.forecast)},
                         {"open_findings", r.open_findings},
                         {"suspect", r.suspect ? window(*r.suspect) : Json(nullptr)}});
  return dump(j);
}

std::string rigs_csv(const std::vector<RigStatus>& rigs) {
  std::string out = csv_row({"rig",
                             "field",
                             "verdict",
                             "margin",
                             "days_since",
                             "day",
                             "session",
                             "kind",
                             "checks",
                             "limit_reached_earliest",
                             "open_findings"});
  for (const RigStatus& r : rigs) {
    std::string findings;
    for (const std::string& id : r.open_findings) findings += (findings.empty() ? "" : " ") + id;
    out += csv_row({csv_text(r.rig),
                    csv_text(r.field),
                    csv_text(r.verdict),
                    r.margin ? exact(*r.margin) : "",
                    std::to_string(r.days_since),
                    r.day,
                    csv_text(r.session),
                    csv_text(r.kind),
                    std::to_string(r.checks),
                    r.forecast ? r.forecast->earliest : "",
                    csv_text(findings)});
  }
  return out;
}

}  // namespace rigproof
