#include "app/trend_command.h"

#include <algorithm>
#include <memory>
#include <set>

#include <fmt/format.h>

#include "app/console.h"
#include "base/atomic_file.h"
#include "base/error.h"
#include "base/input_file.h"
#include "base/number.h"
#include "inputs/line.h"
#include "inputs/near_name.h"
#include "record/store.h"
#include "record/trend_json.h"
#include "report/control_chart.h"
#include "report/trend_page.h"
#include "seal/seal.h"

namespace rigproof {
namespace {

struct TrendCommandOptions {
  std::string where, html;
  std::string event, on, note;
};

struct RigName {
  std::string rig, field;
  std::string text() const { return rig + "/" + field; }
};

/// "R12/300"; "R12" alone when the history holds one field of it.
std::optional<RigName> rig_name(const std::string& where, const std::set<std::string>& known) {
  if (const auto slash = where.rfind('/'); slash != std::string::npos) {
    if (slash == 0 || slash + 1 == where.size())
      throw Error(ErrorKind::usage,
                  display(where) + " names " + (slash == 0 ? "no rig" : "no field of view"),
                  "Name both, R12/300, or the rig alone.");
    return RigName{where.substr(0, slash), where.substr(slash + 1)};
  }
  std::optional<RigName> only;
  for (const std::string& name : known) {
    const auto slash = name.rfind('/');
    if (name.substr(0, slash) != where) continue;
    if (only)
      throw Error(ErrorKind::usage,
                  where + " has several fields of view",
                  "Name one: " + listed({known.begin(), known.end()}) + ".");
    only = RigName{where, name.substr(slash + 1)};
  }
  return only;
}

std::set<std::string> known_rigs(const Store& store) {
  std::set<std::string> names;
  for (const auto& [rig, field] : store.rigs()) names.insert(rig + "/" + field);
  return names;
}

int none(const Console& console, const std::string& where, const std::set<std::string>& known) {
  console.problem("rigproof: no check of " + display(where) + " is on record");
  if (known.empty())
    console.problem("  The history is empty. rigproof assess SESSION records a check.");
  else
    console.problem("  On record are " + display(listed({known.begin(), known.end()})) + ".");
  return exit_invalid;
}

void add_event(const TrendCommandOptions& o, const RigName& rig, Store& store, Console& console) {
  if (std::ranges::find(event_kinds(), o.event) == event_kinds().end())
    throw Error(ErrorKind::usage,
                "--event " + o.event + " is unknown",
                did_you_mean(o.event, event_kinds()));
  check_line("the rig", rig.text(), ErrorKind::usage);  // what is recorded stays
  check_line("--note", o.note, ErrorKind::usage);
  HistoryEvent event;
  event.rig = rig.rig;
  event.field = rig.field;
  event.recorded = utc_now();
  event.day = o.on.empty() ? event.recorded.substr(0, 10) : to_string(parse_date(o.on));
  event.kind = o.event;
  event.note = o.note;
  event.id = digest_of(event);
  const bool added = store.add(event);
  console.talk(
      fmt::format("{}: {} on {}", added ? "Recorded" : "Already on record", event.kind, event.day));
}

void print_people(const Console& console, const Trend& trend) {
  const HistoryCheck& last = trend.checks.back();
  console.result(console.bold(fmt::format("{}/{}: {} checks from {} to {}, last {}",
                                          display(trend.rig),
                                          display(trend.field),
                                          trend.checks.size(),
                                          trend.checks.front().day,
                                          last.day,
                                          display(last.verdict))));
  for (const TrendSeries& series : trend.series) {
    if (!series.mean) continue;
    console.result(
        fmt::format("\n{}, mean of a check, {}", display(series.id), shown_unit(series).name));
    console.result(text_control_chart(series, 60, 11));
    for (const TrendPhase& phase : series.phases)
      console.result("  " + display(phase_words(series, phase)));
  }
  for (const HistoryEvent& event : trend.events)
    console.result(fmt::format("{} {} {}", event.day, event.kind, display(event.note)));
  for (const SuspectWindow& window : trend.suspect) console.result(display(window_words(window)));
  if (trend.forecast)
    console.result(display(trend.forecast->series) + ": " + forecast_words(*trend.forecast));
  console.result(trend.suspect.empty() || last.verdict != "outside"
                     ? "Next: the next check as planned."
                     : "Next: decide what happens to the work of the suspect window.");
}

int run_trend(const TrendCommandOptions& o, Console& console) {
  if (!o.html.empty()) refuse_sealed(o.html);
  const std::string location = Store::location();
  if (!Store::exists(location) && o.event.empty()) return none(console, o.where, {});
  Store store(location);
  const std::set<std::string> known = known_rigs(store);
  const auto rig = rig_name(o.where, known);
  if (!rig) return none(console, o.where, known);
  if (!o.event.empty()) add_event(o, *rig, store, console);
  const Trend trend =
      make_trend(store.checks(rig->rig, rig->field), store.events(rig->rig, rig->field));
  if (trend.checks.empty())
    return o.event.empty() ? none(console, rig->text(), known) : exit_within;
  if (!o.html.empty()) {
    write_atomically(o.html, trend_html(trend, {}));
    console.talk("Written to " + display(o.html));
  }
  if (console.json)
    console.result(trend_json(trend));
  else
    print_people(console, trend);
  return exit_within;
}

}  // namespace

Command trend_command() {
  auto o = std::make_shared<TrendCommandOptions>();
  return {"trend",
          "The history of a rig's field of view: charts with limits, steps, slopes, forecast.",
          {"rigproof trend R12/300",
           "rigproof trend R12/300 --html R12-300.html",
           "rigproof trend R12/300 --event knock --on 2026-03-10 --note \"trolley hit the stand\""},
          {{"RIG/FIELD", "RIG/FIELD", "a rig and its field of view", &o->where, true},
           {"--html", "FILE", "also write a page with a chart a quantity", &o->html},
           {"--event",
            "KIND",
            "record what happened to the rig: knock, move, service, other",
            &o->event},
           {"--on", "DATE", "day of the event (today)", &o->on},
           {"--note", "TEXT", "what happened, in words", &o->note}},
          "0 shown · 3 nothing on record · 64–78 errors",
          [o](Console& console) { return run_trend(*o, console); }};
}

}  // namespace rigproof
