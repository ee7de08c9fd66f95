#include "app/look_command.h"

#include <charconv>
#include <memory>

#include <fmt/format.h>

#include "app/console.h"
#include "assess/scan_pass.h"
#include "base/error.h"
#include "base/number.h"
#include "inputs/nominal.h"
#include "record/results_json.h"

namespace rigproof {
namespace {

struct LookOptions {
  std::string file;
  std::string units = "mm";
  std::optional<double> ball, bar;
  std::string plate, whole;
  bool timings = false;
};

/// "300x200" → length and width in mm.
std::pair<double, double> plate_size(const std::string& text) {
  double a = 0, b = 0;
  const char* end = text.data() + text.size();
  const auto first = std::from_chars(text.data(), end, a);
  if (first.ec == std::errc() && first.ptr < end && (*first.ptr == 'x' || *first.ptr == 'X')) {
    const auto second = std::from_chars(first.ptr + 1, end, b);
    if (second.ec == std::errc() && second.ptr == end && a > 0 && b > 0) return {a, b};
  }
  throw Error(ErrorKind::usage,
              fmt::format("--plate {}: not a size", text),
              "Give length x width in millimetres, e.g. --plate 300x200.");
}

std::vector<Artefact> artefacts_of(const LookOptions& o) {
  std::vector<Artefact> out;
  if (o.bar)
    out.push_back(nominal_bar(*o.bar, o.ball));
  else if (o.ball)
    out.push_back(nominal_ball(*o.ball));
  if (!o.plate.empty()) {
    const auto [length, width] = plate_size(o.plate);
    out.push_back(nominal_plate(length, width));
  }
  return out;
}

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
                             console.bold(safe(r.file)),
                             r.format,
                             r.points,
                             r.dropped ? fmt::format(", {} not a number", r.dropped) : ""));
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
        fmt::format("  {} {}: {}", to_string(finding.severity), finding.id, safe(finding.text)));
  if (timings)
    for (const auto& [phase, seconds] : pass.timings)
      console.result(fmt::format("  {:8} {} s", phase, fixed(seconds, 3)));
}

/// A file that cannot be used ends the run with its own code.
void refuse_bad_file(const ScanPass& pass) {
  for (const auto& finding : pass.findings)
    if (finding.id == "truncated" || finding.id == "unreadable")
      throw Error(ErrorKind::data, finding.text);
}

int look(const LookOptions& o, Console& console) {
  if (!o.whole.empty() && o.whole != "ball" && o.whole != "plate")
    throw Error(ErrorKind::usage, "--whole takes ball or plate, not " + o.whole);
  const std::vector<Artefact> artefacts = artefacts_of(o);
  const Procedure procedure = look_procedure();
  const Rig rig;
  ScanPassInput in;
  in.path = o.file;
  in.name = in.path.filename().string();
  in.options.unit_mm = unit_to_mm(o.units);
  in.artefacts = &artefacts;
  in.procedure = &procedure;
  in.rig = &rig;
  const ScanPass pass =
      o.whole.empty()
          ? pass_scan(in)
          : pass_whole(in, o.whole == "ball" ? ArtefactKind::ball : ArtefactKind::plate);
  refuse_bad_file(pass);
  if (console.json)
    console.result(look_json(pass.record, pass.findings, o.timings ? &pass.timings : nullptr));
  else
    print_people(console, pass, o.timings);
  if (pass.record.features.empty()) {
    console.problem("rigproof: nothing found in " + safe(o.file));
    console.talk("Next: name what should be there, e.g. rigproof look FILE --ball 30");
    return exit_invalid;
  }
  console.talk("Next: rigproof assess FOLDER --bar 250 --limit 0.03 judges a folder of scans.");
  return exit_within;
}

}  // namespace

Command look_command() {
  auto o = std::make_shared<LookOptions>();
  return {
      "look",
      "One scan: what is in it, fitted, with quality figures.",
      {"rigproof look scan001.stl --ball 30",
       "rigproof look scan001.ply --bar 250 --ball 30 --json",
       "rigproof look points.csv --whole plate"},
      {{"FILE", "FILE", "the scan", &o->file, true},
       {"--units", "U", "unit of the file: mm, cm, m, um, inch (mm unless given)", &o->units},
       {"--ball", "D", "a ball of this diameter, mm (with --bar: of the bar's balls)", &o->ball},
       {"--bar", "L", "a ball bar of this length between centres at 20 °C, mm", &o->bar},
       {"--plate", "LxW", "a flat plate of this size, mm", &o->plate},
       {"--whole", "ball|plate", "every point belongs to one artefact", &o->whole},
       {"--timings", "", "print the seconds of each phase", &o->timings}},
      "0 found · 3 nothing found · 64 wrong command line · 65 file unusable · 66 file missing",
      [o](Console& console) { return look(*o, console); }};
}

}  // namespace rigproof
