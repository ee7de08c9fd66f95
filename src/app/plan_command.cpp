#include "app/plan_command.h"

#include <algorithm>
#include <cmath>
#include <memory>

#include <fmt/format.h>

#include "app/console.h"
#include "app/known_artefacts.h"
#include "app/plan_files.h"
#include "base/atomic_file.h"
#include "base/error.h"
#include "base/folder.h"
#include "base/input_file.h"
#include "base/version.h"
#include "plan/plan.h"
#include "record/plan_json.h"
#include "report/plan_view.h"
#include "seal/seal.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

struct PlanCommandOptions {
  std::string session, rig, procedure = "half-hour", out, language = "en";
};

// ---- without a session: artefact against field

std::string fit_line(const ArtefactFit& fit) {
  const std::string lean =
      !fit.lean_deg || fit.kind == ArtefactKind::ball ? "" : fmt::format("{:.0f}°", *fit.lean_deg);
  return fmt::format("  {:20} {:6} {:>6.0f} mm  {:9} {:>4}  {}",
                     display(fit.artefact),
                     to_string(fit.kind),
                     fit.size_mm,
                     fit.verdict,
                     lean,
                     fit.tests);
}

void print_fits(const Console& console, const FieldFits& field, const Volume& v) {
  console.result(console.bold(fmt::format("{} / {}", display(field.rig), display(field.field))) +
                 fmt::format(": {:.0f} × {:.0f} × {:.0f} mm",
                             std::max(v.near_width, v.far_width),
                             std::max(v.near_height, v.far_height),
                             v.far_mm - v.near_mm));
  console.result("  artefact             kind        size  fit       lean  what it would test");
  for (const ArtefactFit& fit : field.fits) console.result(fit_line(fit));
}

bool serves(const FieldFits& field, ArtefactKind kind) {
  return std::ranges::any_of(field.fits,
                             [&](const ArtefactFit& f) { return f.kind == kind && f.usable; });
}

int plan_rig(const PlanCommandOptions& o, const Console& console) {
  std::vector<std::string> fields;
  Rig rig;
  try {
    const RigField found = find_rig_field(o.rig);
    rig = found.rig;
    fields.push_back(found.field);
  } catch (const Error& error) {
    // A rig alone means each of its fields.
    if (error.kind() != ErrorKind::config || o.rig.find('/') != std::string::npos) throw;
    rig = load_rig(find_input("rigs", o.rig));
    for (const Field& f : rig.fields) fields.push_back(f.name);
  }
  const Procedure procedure = load_procedure(find_input("procedures", o.procedure));
  std::vector<std::string> unread;
  const std::vector<Artefact> artefacts = known_artefacts(unread);
  for (const std::string& why : unread) console.problem("rigproof: left out: " + display(why));
  std::vector<FieldFits> all;
  bool enough = true;
  for (const std::string& name : fields) {
    FieldFits f{rig.id, name, {}};
    for (const Artefact& a : artefacts)
      f.fits.push_back(fit_of(a, rig, rig.field(name), procedure));
    enough = enough && (procedure.demand.bar == 0 || serves(f, ArtefactKind::bar)) &&
             (procedure.demand.plate == 0 || serves(f, ArtefactKind::plate));
    if (!console.json) print_fits(console, f, rig.field(name).volume);
    all.push_back(std::move(f));
  }
  if (console.json) console.result(fits_json(all));
  console.talk("Next: rigproof new --rig " + display(o.rig) + ", then rigproof plan in its folder");
  if (enough) return exit_within;
  console.problem("rigproof: no registered bar or plate fits every field of " + display(rig.id) +
                  "; rigproof add bar registers one");
  return exit_invalid;
}

// ---- in a session

std::string position_line(const PlannedScan& p) {
  std::string line = fmt::format("  {}  {:18} {}", p.id, display(p.artefact), p.place);
  if (p.kind == ArtefactKind::bar) line += fmt::format(", {}", to_string(p.role));
  if (p.kind != ArtefactKind::ball && p.lean_deg >= 3) line += fmt::format(", {:.0f}°", p.lean_deg);
  return p.repeats.empty() ? line : line + fmt::format(" (as {} again)", p.repeats);
}

void print_plan(const Console& console, const Session& session, const Plan& plan) {
  console.result(console.bold(fmt::format("{} scans, about {:.0f} minutes, {} changes of artefact",
                                          plan.scans.size(),
                                          plan.minutes,
                                          plan.artefact_changes)));
  if (session.simulated) console.result("SIMULATED: a virtual rig");
  for (const PlannedScan& p : plan.scans) console.result(position_line(p));
  if (!plan.limits.empty()) {
    console.result(
        "Found with 95 %: fault, from, and the length error it causes (usual "
        "arrangement)");
    double dent = 0, usual_dent = 0;
    for (const PlanLimit& l : plan.limits) {
      const double usual = l.textbook_sd_mm.value_or(INFINITY);
      if (!l.zone.empty()) {
        dent = std::max(dent, l.value);
        usual_dent = std::max(usual_dent, usual);
        continue;
      }
      console.result(fmt::format("  {:18} {:9.3g} {:5} {:7.1f} µm  ({:.1f} µm)",
                                 l.id,
                                 l.value,
                                 l.unit,
                                 1e3 * l.worst_sd_mm,
                                 1e3 * usual));
    }
    console.result(
        fmt::format("  {:18} {:9.3g} um    in the zone that is seen worst", "dent", dent));
    const Plan::Worst worst = plan.worst();
    console.result(fmt::format("Worst group of faults: {:.1f} µm, usual arrangement {:.1f} µm",
                               1e3 * worst.plan,
                               1e3 * worst.textbook));
  }
  if (plan.noise_assumed)
    console.result("The rig's scatter is not known: 0.02 px of disparity is assumed.");
  for (const std::string& hint : plan.hints) console.result(hint);
}

fs::path output_folder(const PlanCommandOptions& o, const Session& session) {
  if (!o.out.empty()) {
    refuse_sealed(o.out);
    std::error_code ec;
    fs::create_directories(o.out, ec);
    return o.out;
  }
  refuse_sealed(session.folder, "Name a folder for another plan: --out DIR.");
  if (is_agreed(session.folder))
    throw Error(ErrorKind::usage,
                display(session.folder) + ": its limits and plan are agreed and signed",
                "Scan what the plan says, or name a folder for another one: --out DIR.");
  return session.folder;
}

int plan_session(const PlanCommandOptions& o, const Console& console) {
  const fs::path folder = o.session.empty() ? "." : o.session;
  if (!fs::exists(folder / "session.toml"))
    throw Error(o.session.empty() ? ErrorKind::usage : ErrorKind::missing,
                display(folder) + ": holds no session.toml",
                "Name a session folder, or a rig alone: rigproof plan --rig R12/300");
  const FolderLock lock(folder, FolderLock::Kind::shared);
  const Session session = load_session(folder);
  const fs::path out = output_folder(o, session);
  const Plan plan = make_plan(session);
  ReportOptions report;
  report.language = o.language;
  report.software_version = version();
  if (o.out.empty()) write_plan_file(session, plan);
  write_atomically(out / "plan.html", plan_html(session, plan, report));
  write_atomically(out / "plan.pdf", plan_pdf(session, plan, report));
  if (console.json)
    console.result(plan_json(session, plan));
  else
    print_plan(console, session, plan);
  console.talk("Written to " + display(out / "plan.html") + " and plan.pdf");
  console.talk("Next: rigproof watch " + display(folder));
  if (plan.meets_procedure()) return exit_within;
  for (const std::string& why : plan.lacking)
    console.problem("rigproof: not enough for the procedure: " + display(why));
  return exit_invalid;
}

int run_plan(const PlanCommandOptions& o, const Console& console) {
  if (!o.rig.empty() && !o.session.empty())
    throw Error(ErrorKind::usage,
                "a session and --rig do not go together",
                "The session names its rig; without a session give --rig alone.");
  return o.rig.empty() ? plan_session(o, console) : plan_rig(o, console);
}

}  // namespace

Command plan_command() {
  auto o = std::make_shared<PlanCommandOptions>();
  return {"plan",
          "Before the visit: what fits the field. In a session: where to put what, in which order.",
          {"rigproof plan --rig R12/300",
           "rigproof plan 2026-03-14-R12-300-acceptance",
           "rigproof plan --json"},
          {{"SESSION", "SESSION", "a session folder (default the current one)", &o->session},
           {"--rig", "R/FIELD", "no session: which artefact fits this field", &o->rig},
           {"--procedure", "P", "with --rig: the procedure to serve (half-hour)", &o->procedure},
           {"--lang", "CODE", "language of plan.html and plan.pdf (en)", &o->language},
           {"--out", "DIR", "write plan.html and plan.pdf here, not in the session", &o->out}},
          "0 planned · 3 the artefacts cannot satisfy the procedure · 64–78 errors",
          [o](Console& console) { return run_plan(*o, console); }};
}

}  // namespace rigproof
