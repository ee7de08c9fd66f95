#include "app/look_command.h"

#include <memory>

#include <fmt/format.h>

#include "app/artefact_options.h"
#include "app/console.h"
#include "assess/scan_pass.h"
#include "base/error.h"
#include "base/input_file.h"
#include "base/number.h"
#include "inputs/session.h"
#include "record/results_json.h"

namespace rigproof {
namespace {

struct LookOptions {
  std::string file;
  std::string units = "mm";
  ArtefactOptions sizes;
  std::string whole;
  bool timings = false;
};

/// The evaluation zone and share of `single-view`.
Procedure look_procedure() { return load_procedure(find_input("procedures", "single-view")); }

std::string sphere_line(const FeatureRecord& f) {
  std::string line = fmt::format(
      "ball    diameter {} mm  centre ({}, {}, {}) mm  form {} mm  rms {} mm  {} points",
      fixed(2 * f.radius, 4),
      fixed(f.center.x(), 4),
      fixed(f.center.y(), 4),
      fixed(f.center.z(), 4),
      fixed(f.form, 4),
      fixed(f.rms, 4),
      f.points);
  if (f.left_out > 0) line += fmt::format(" ({} left out)", f.left_out);
  if (f.form_mz) line += fmt::format("  minimum zone {} mm", fixed(*f.form_mz, 4));
  return line + fmt::format("  seen {}°", fixed(f.cap_half_angle_deg, 0));
}

std::string plane_line(const FeatureRecord& f) {
  std::string line = fmt::format(
      "plate   {} × {} mm  centre ({}, {}, {}) mm  flatness {} mm  rms {} mm  {} points",
      fixed(f.length_mm, 1),
      fixed(f.width_mm, 1),
      fixed(f.center.x(), 4),
      fixed(f.center.y(), 4),
      fixed(f.center.z(), 4),
      fixed(f.form, 4),
      fixed(f.rms, 4),
      f.points);
  if (f.left_out > 0) line += fmt::format(" ({} left out)", f.left_out);
  if (f.form_mz) line += fmt::format("  minimum zone {} mm", fixed(*f.form_mz, 4));
  return line;
}

void print_people(const Console& console, const ScanPass& pass, bool timings) {
  const ScanRecord& r = pass.record;
  console.result(fmt::format("{}  {}  {} points{}",
                             console.bold(display(r.file)),
                             r.format,
                             r.points,
                             r.dropped ? fmt::format(", {} not a number", r.dropped) : ""));
  if (r.simulated) console.result("SIMULATED: the file says that no real rig measured it");
  for (const auto& f : r.features)
    console.result("  " + (f.sphere ? sphere_line(f) : plane_line(f)));
  for (const auto& v : pass.values)
    if (v.id == "sphere_spacing")
      console.result(fmt::format("  distance {}–{}  {} mm, {} from {} mm",
                                 v.pair.first,
                                 v.pair.second,
                                 fixed(v.measured, 4),
                                 micrometres(v.value),
                                 fixed(v.reference, 4)));
  for (const auto& finding : pass.findings)
    console.result(
        fmt::format("  {} {}: {}", to_string(finding.severity), finding.id, display(finding.text)));
  if (timings) print_timings(console, pass.timings);
}

int look(const LookOptions& o, Console& console) {
  if (!o.whole.empty() && o.whole != "ball" && o.whole != "plate")
    throw Error(ErrorKind::usage,
                "--whole takes ball or plate, not " + display(o.whole),
                "Say which of the two the points are: --whole ball, or --whole plate.");
  const std::vector<Artefact> artefacts = o.sizes.artefacts();
  const Procedure procedure = look_procedure();
  const Rig rig;
  ScanPassInput in;
  in.path = o.file;
  in.name = in.path.filename().string();
  in.options.unit_mm = unit_to_mm(o.units);
  in.artefacts = &artefacts;
  in.procedure = &procedure;
  in.rig = &rig;
  in.information = false;
  const ScanPass pass =
      o.whole.empty()
          ? pass_scan(in)
          : pass_whole(in, o.whole == "ball" ? ArtefactKind::ball : ArtefactKind::plate);
  if (pass.failure) throw *pass.failure;
  if (console.json)
    console.result(look_json(pass.record, pass.findings, o.timings ? &pass.timings : nullptr));
  else
    print_people(console, pass, o.timings);
  if (pass.record.features.empty()) {
    console.problem("rigproof: nothing found in " + display(o.file));
    console.talk("Next: name what should be there, e.g. rigproof look FILE --ball 30");
    return exit_invalid;
  }
  console.talk("Next: rigproof assess FOLDER --bar 250 --limit 0.03 judges a folder of scans.");
  return exit_within;
}

}  // namespace

Command look_command() {
  auto o = std::make_shared<LookOptions>();
  std::vector<Option> options = o->sizes.options();
  options.insert(options.begin(), {"FILE", "FILE", "the scan", &o->file, true});
  options.push_back({"--units", "U", "unit of the file: mm, cm, m, um, inch", &o->units});
  options.push_back({"--whole", "ball|plate", "every point belongs to one artefact", &o->whole});
  options.push_back({"--timings", "", "print the seconds of each phase", &o->timings});
  return {"look",
          "One scan: what is in it, fitted, with quality figures.",
          {"rigproof look scan001.stl --ball 30",
           "rigproof look scan001.ply --bar 250 --ball 30 --json",
           "rigproof look points.csv --whole plate"},
          std::move(options),
          "0 found · 3 nothing found · 64 wrong command line · 65 file unusable · 66 file missing",
          [o](Console& console) { return look(*o, console); }};
}

}  // namespace rigproof
