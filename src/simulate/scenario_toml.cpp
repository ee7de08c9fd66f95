#include <algorithm>

#include "base/error.h"
#include "inputs/toml_reader.h"
#include "simulate/scenario.h"

namespace rigproof {
namespace {

void read_noise(const TomlTable& t, MatchingNoise& n) {
  n.on = t.flag("on", n.on);
  n.disparity_px = t.number("disparity_px", Range::from_zero(2, "px"), n.disparity_px);
  n.area_px2 = t.number("area_px", {1, 400, "px²"}, n.area_px2);
  n.white_share = t.number("white_share", Range::from_zero(1, ""), n.white_share);
  n.incidence_power = t.number("incidence_power", Range::from_zero(4, ""), n.incidence_power);
  n.defocus = t.number("defocus", Range::from_zero(20, ""), n.defocus);
  n.focus_mm = t.number("focus_mm", Range::from_zero(1e5, "mm"), n.focus_mm);
  t.finish();
}

void read_blemishes(const TomlTable& t, Blemishes& b) {
  b.saturation_deg = t.number("saturation_deg", Range::from_zero(45, "°"), b.saturation_deg);
  b.dropouts = t.number("dropouts", Range::from_zero(1, ""), b.dropouts);
  b.outliers = t.number("outliers", Range::from_zero(1, ""), b.outliers);
  b.outlier_px = t.number("outlier_px", Range::from_zero(100, "px"), b.outlier_px);
  b.flying = t.number("flying", Range::from_zero(1, ""), b.flying);
  b.lost_at_edge = t.number("lost_at_edge", Range::from_zero(1, ""), b.lost_at_edge);
  t.finish();
}

void read_lens(const TomlTable& t, Distortion& d) {
  const Range any{-10, 10, ""};
  d.k1 = t.number("k1", any, d.k1);
  d.k2 = t.number("k2", any, d.k2);
  d.k3 = t.number("k3", any, d.k3);
  d.p1 = t.number("p1", any, d.p1);
  d.p2 = t.number("p2", any, d.p2);
  t.finish();
}

Fault read_fault(const TomlTable& t) {
  Fault f;
  std::vector<std::string> known;
  for (const FaultKind& kind : fault_kinds()) known.emplace_back(kind.name);
  f.name = t.word("name", known);
  f.value = t.maybe_number("value", {-1e6, 1e6, ""});
  if (f.value && fault_kind(f.name).unit.empty())
    t.fail_at("value", "the fault \"" + f.name + "\" has no magnitude", "Leave the value out.");
  if (t.has("zone")) f.zone = t.word("zone", all_zone_ids());
  t.finish();
  return f;
}

Vec3 vector(const TomlTable& t, std::string_view key) {
  const std::vector<double> n = t.numbers(key, {-1e5, 1e5, "mm"}, 3, 3);
  return {n[0], n[1], n[2]};
}

WantedScan read_scan(const TomlTable& t, const std::vector<Artefact>& artefacts) {
  WantedScan w;
  std::vector<std::string> known;
  for (const Artefact& a : artefacts) known.push_back(a.serial);
  w.artefact = t.word("artefact", known);
  w.center = vector(t, "center");
  if (t.has("direction")) w.direction = vector(t, "direction");
  if (!(w.direction.norm() > 0))
    t.fail_at("direction", "a direction of length zero", "Give a bar's axis or a plate's normal.");
  t.finish();
  return w;
}

ExportKind export_kind(const std::string& word) {
  return word == "shuffled"    ? ExportKind::shuffled
         : word == "mesh"      ? ExportKind::mesh
         : word == "decimated" ? ExportKind::decimated
                               : ExportKind::grid;
}

}  // namespace

Scenario load_scenario(const std::filesystem::path& file) {
  const TomlTable t = TomlTable::load(file);
  Scenario s;
  s.rig = load_rig(find_input("rigs", t.text("rig")));
  s.field = t.text("field", s.rig.fields.front().name);
  s.procedure = load_procedure(find_input("procedures", t.text("procedure", "half-hour")));
  s.id = t.label("id", "2026-03-14-" + s.rig.id + "-" + s.field + "-simulated");
  s.kind = t.word(
      "kind", {"acceptance", "reverification", "interim", "as-found", "as-left"}, "acceptance");
  s.seed = static_cast<std::uint64_t>(t.integer("seed", 0, 1 << 30, 1));
  s.points = t.number("points", {1000, 5e7, ""}, s.points);
  s.step = t.integer("step", 0, 64, 0);
  s.matching = t.word("match", {"epipolar", "free"}, "epipolar") == "free" ? Matching::free_match
                                                                           : Matching::epipolar;
  s.export_as = export_kind(t.word("export", {"grid", "shuffled", "mesh", "decimated"}, "grid"));
  s.doubles = t.word("scalar", {"float", "double"}, "float") == "double";
  s.clutter = t.flag("clutter", s.clutter);
  s.ideal_artefacts = t.flag("ideal_artefacts", s.ideal_artefacts);
  s.artefact_C = t.number("artefact_C", {-50, 100, "°C"}, s.artefact_C);
  s.u_artefact_C = t.number("u_artefact_C", Range::from_zero(50, "K"), s.u_artefact_C);
  if (t.has("artefacts"))
    for (const std::string& name : t.texts("artefacts", 100))
      s.artefacts.push_back(load_artefact(find_input("artefacts", name)));
  else
    s.artefacts = suitable_artefacts(s.field_of_view().volume);
  if (t.has("limits")) {
    s.limits = load_limits(find_input("limits", t.text("limits")));
    s.limits_given = true;
  }
  if (const auto noise = t.maybe_table("noise")) read_noise(*noise, s.noise);
  if (const auto blemishes = t.maybe_table("blemishes")) read_blemishes(*blemishes, s.blemishes);
  if (const auto lens = t.maybe_table("lens")) read_lens(*lens, s.distortion);
  for (const TomlTable& f : t.tables("fault")) s.faults.push_back(read_fault(f));
  for (const TomlTable& scan : t.tables("scan")) s.scans.push_back(read_scan(scan, s.artefacts));
  if (t.flag("ideal", false)) s.make_ideal();
  t.finish();
  s.check();
  return s;
}

}  // namespace rigproof
