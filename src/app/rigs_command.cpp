#include "app/rigs_command.h"

#include <algorithm>
#include <fstream>
#include <memory>

#include <fmt/format.h>

#include "app/console.h"
#include "app/history_files.h"
#include "app/interrupt.h"
#include "base/atomic_file.h"
#include "base/error.h"
#include "base/input_file.h"
#include "base/number.h"
#include "record/store.h"
#include "record/trend_json.h"
#include "report/trend_page.h"
#include "seal/seal.h"

namespace rigproof {
namespace {

struct RigsCommandOptions {
  std::string html, csv, on;
  std::string export_to, import_from, rebuild;
};

void print_people(const Console& console, const std::vector<RigStatus>& rigs) {
  console.result(console.bold(fmt::format("{:16} {:10} {:>7} {:>6}  {:12} {}",
                                          "rig/field",
                                          "verdict",
                                          "margin",
                                          "days",
                                          "limit from",
                                          "open")));
  for (const RigStatus& rig : rigs) {
    std::string open;
    for (const std::string& id : rig.open_findings) open += (open.empty() ? "" : ", ") + id;
    console.result(fmt::format("{:16} {:10} {:>7} {:>6}  {:12} {}",
                               display(rig.rig + "/" + rig.field),
                               display(rig.verdict),
                               rig.margin ? fixed(*rig.margin * 100, 0) + " %" : "-",
                               rig.days_since,
                               rig.forecast ? rig.forecast->earliest : "-",
                               open.empty() ? "-" : display(open)));
    if (rig.suspect) console.result("  " + display(window_words(*rig.suspect)));
  }
}

int run_rigs(const RigsCommandOptions& o, Console& console) {
  for (const std::string& written : {o.html, o.csv, o.export_to})
    if (!written.empty()) refuse_sealed(written);
  const std::string location = Store::location();
  const bool fills = !o.import_from.empty() || !o.rebuild.empty();
  const std::string today = o.on.empty() ? utc_now().substr(0, 10) : to_string(parse_date(o.on));
  if (!Store::exists(location) && !fills) {
    if (console.json) console.result(rigs_json({}, today));
    console.problem("rigproof: no check is on record; rigproof assess SESSION records one");
    return exit_invalid;
  }
  Store store(location);
  if (!o.import_from.empty()) import_history(o.import_from, store, console);
  if (!o.rebuild.empty()) rebuild_history(o.rebuild, store, console);
  if (!o.export_to.empty()) export_history(store, o.export_to, console);
  const std::vector<RigStatus> rigs = rig_statuses(store.checks(), today);
  if (!o.html.empty()) write_atomically(o.html, rigs_html(rigs, today, {}));
  if (!o.csv.empty()) write_atomically(o.csv, rigs_csv(rigs));
  if (console.json)
    console.result(rigs_json(rigs, today));
  else if (!rigs.empty())
    print_people(console, rigs);
  if (rigs.empty()) {
    console.problem("rigproof: no check is on record; rigproof assess SESSION records one");
    return exit_invalid;
  }
  const auto out = std::ranges::count(rigs, std::string("outside"), &RigStatus::verdict);
  if (out == 0) {
    if (!console.json) console.result("Next: rigproof trend RIG/FIELD shows how each got there.");
    return exit_within;
  }
  console.problem(
      fmt::format("rigproof: {} of {} outside limits at the last check", out, rigs.size()));
  return exit_outside;
}

}  // namespace

Command rigs_command() {
  auto o = std::make_shared<RigsCommandOptions>();
  return {
      "rigs",
      "One line a rig: last verdict, margin, days since, forecast, open findings.",
      {"rigproof rigs",
       "rigproof rigs --html rigs.html --csv rigs.csv",
       "rigproof rigs --rebuild /data/sessions"},
      {{"--html", "FILE", "also write the table as a page", &o->html},
       {"--csv", "FILE", "also write the table for a spreadsheet", &o->csv},
       {"--on", "DATE", "count days up to this one (today)", &o->on},
       {"--export", "FILE", "write the whole history as lines of JSON", &o->export_to},
       {"--import", "FILE", "take in such lines; what is there already stays", &o->import_from},
       {"--rebuild", "FOLDER", "take in every assessed session below this folder", &o->rebuild}},
      "0 no rig is out · 1 a rig is out · 3 nothing on record · 64–78 errors",
      [o](Console& console) { return run_rigs(*o, console); }};
}

}  // namespace rigproof
