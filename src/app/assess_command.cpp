#include "app/assess_command.h"

#include <chrono>
#include <cmath>
#include <memory>

#include <fmt/format.h>

#include "app/bare_session.h"
#include "app/console.h"
#include "app/diagnosis_lines.h"
#include "app/history_log.h"
#include "app/interrupt.h"
#include "app/outputs.h"
#include "app/stored_outputs.h"
#include "assess/assess.h"
#include "base/error.h"
#include "base/folder.h"
#include "base/input_file.h"
#include "base/number.h"
#include "record/results_json.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

struct AssessCommandOptions {
  std::string where = ".";
  BareFolder bare;
  std::string after, out;
  DocumentOptions documents;
  bool timings = false;
};

int exit_code(Verdict verdict) {
  switch (verdict) {
    case Verdict::within:
      return exit_within;
    case Verdict::outside:
      return exit_outside;
    case Verdict::undecided:
      return exit_undecided;
    case Verdict::invalid:
      return exit_invalid;
  }
  return exit_invalid;
}

std::string characteristic_line(const CharacteristicResult& c) {
  if (c.worst < 0) return fmt::format("  {:20} no value", c.id);
  const auto& worst = c.values[static_cast<std::size_t>(c.worst)];
  std::string line = fmt::format(
      "  {:20} worst {:>10} of {:2} values", c.id, micrometres(worst.value.value), c.values.size());
  if (worst.decision)
    line += fmt::format(", limit {}, {}", micrometres(worst.decision->limit), to_string(c.verdict));
  else
    line += ", no limit";
  return line + fmt::format("  ({})", display(worst.value.scan));
}

/// The whole of an interim check of a folder in one line.
void print_interim(const Console& console, const Results& r) {
  std::string line = fmt::format("{}/{} interim: {}",
                                 display(r.session.rig.id),
                                 display(r.session.field_name),
                                 display(r.headline));
  for (const auto& c : r.characteristics) {
    if (c.worst < 0) continue;
    const auto& worst = c.values[static_cast<std::size_t>(c.worst)];
    line += fmt::format(" · {} {}", c.id, micrometres(worst.value.value));
    if (worst.decision) line += fmt::format(" of {}", micrometres(worst.decision->limit));
  }
  if (const auto n = r.session.skipped.size(); n > 0)
    line += fmt::format(" · {} of the files no scan{}", n, n == 1 ? "" : "s");
  console.result(r.simulated ? line + " · SIMULATED" : line);
  console.talk("Next: " + display(r.next_step));
}

void print_people(const Console& console, const Results& r, const fs::path& written) {
  console.result(console.bold(display(r.headline)));
  if (r.simulated) console.result("SIMULATED: no real rig was tested");
  for (const auto& c : r.characteristics)
    if (c.worst >= 0 || r.session.procedure.characteristics.contains(c.id))
      console.result(characteristic_line(c));
  for (const auto& f : r.findings)
    if (f.severity != Severity::note)
      console.result(fmt::format("  {} {}{}: {}",
                                 to_string(f.severity),
                                 f.id,
                                 f.scan.empty() ? "" : " (" + display(f.scan) + ")",
                                 display(f.text)));
  for (const auto& s : r.session.skipped) console.result("  no scan: scans/" + display(s));
  for (const std::string& line : diagnosis_lines(r.diagnosis)) console.result(display(line));
  console.result("Next: " + display(r.next_step));
  console.talk("Written to " + display(written));
}

int run_assess(const AssessCommandOptions& o, Console& console) {
  const bool is_session = fs::exists(fs::path(o.where) / "session.toml");
  if (is_session && o.bare.any())
    throw Error(ErrorKind::usage,
                "--ball, --bar, --plate, --limit, --units, --rig and --kind describe a folder "
                "without session.toml; " +
                    display(o.where) + " has one",
                "Leave them out: its files say what they say. Or change those files.");
  BareFolder bare = o.bare;
  bare.folder = o.where;
  const Session session = is_session ? load_session(o.where) : write_bare_session(bare);
  const FolderLock lock(session.folder, FolderLock::Kind::shared);
  const fs::path wanted = output_target(session, o.out);
  clear_unfinished(wanted, console);
  const auto before = session_before(session, o.after);
  ReportOptions report = document_options(session, o.documents);
  report.previous = before.get();
  AssessOptions options;
  Progress progress(console, "scan", session.scans.size());
  options.progress = [&](const std::string& scan) {
    progress.step(scan);
    stop_if_interrupted();
  };
  const Results results = assess(session, options);
  report.results_text = results_json(results, o.timings);
  const auto start = std::chrono::steady_clock::now();
  const fs::path written = write_outputs(results, report, o.documents, wanted);
  const std::chrono::duration<double> documents = std::chrono::steady_clock::now() - start;
  log_to_history(results, console);
  if (console.json)
    console.result(report.results_text);
  else if (!is_session && session.kind == "interim" && !console.verbose)
    print_interim(console, results);
  else
    print_people(console, results, written);
  if (o.timings && !console.json) {
    auto phases = results.timings;
    phases["documents"] = documents.count();
    print_timings(console, phases);
  }
  const int code = exit_code(results.verdict);
  if (code != exit_within) console.problem("rigproof: " + display(results.headline));
  return code;
}

}  // namespace

Command assess_command() {
  auto o = std::make_shared<AssessCommandOptions>();
  std::vector<Option> options = o->bare.sizes.options();
  options.insert(options.begin(),
                 {"SESSION", "SESSION", "a session folder, or a folder of scans", &o->where});
  options.push_back(
      {"--limit", "MM", "the agreed limit of what the artefacts measure, mm", &o->bare.limit_mm});
  options.push_back({"--units", "U", "unit of the files: mm, cm, m, um, inch", &o->bare.units});
  options.push_back({"--rig", "R/FIELD", "the rig and its field of view", &o->bare.rig});
  options.push_back(
      {"--kind", "K", "acceptance, reverification, interim, as-found, as-left", &o->bare.kind});
  options.push_back({"--lang",
                     "CODE",
                     "language of the documents: en, de (default: the issuer's)",
                     &o->documents.language});
  options.push_back(
      {"--after", "SESSION", "the session before this one, shown beside it", &o->after});
  options.push_back({"--out", "DIR", "write here instead of out/ in the session", &o->out});
  options.push_back({"--timings", "", "also the seconds of each phase", &o->timings});
  return {"assess",
          "The main job: locate, fit, evaluate, decide, write everything.",
          {"rigproof assess 2026-03-14-R12-300-acceptance",
           "rigproof assess scans/ --bar 250 --limit 0.03",
           "rigproof assess scans/ --bar 250 --rig R12/300 --kind interim --json"},
          std::move(options),
          "0 within · 1 outside · 2 too close to call · 3 not a valid test · 64–78 errors",
          [o](Console& console) { return run_assess(*o, console); }};
}

}  // namespace rigproof
