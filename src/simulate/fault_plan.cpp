#include "simulate/fault_plan.h"

#include <algorithm>
#include <cmath>

namespace rigproof {
namespace {

constexpr double kUm = 1000;

// Where no limit was agreed, what a careful session of such a rig would hold.
double limit_of(const Scenario& s, const char* characteristic) {
  const auto at = s.limits.by_characteristic.find(characteristic);
  return at != s.limits.by_characteristic.end() ? at->second.at(0) : 8 * middle_noise(s);
}

double longest_bar(const Scenario& s) {
  double length = 0;
  for (const Artefact& a : s.artefacts)
    for (const ArtefactDistance& d : a.distances) length = std::max(length, d.length.mm);
  return length > 0 ? length : 0.5 * s.field_of_view().volume.diagonal();
}

// Calibration faults scale with the rig only through its pixels, so one number serves all rigs.
double calibration_default(const std::string& name) {
  if (name == "board-temperature") return 30;
  if (name == "principal-y-right") return 2;
  if (name == "principal-x-left" || name == "principal-x-right") return 0.8;
  if (name == "toe-in") return 200;
  if (name == "pitch") return 800;
  if (name == "roll") return 600;
  if (name.starts_with("radial")) return 0.5;
  return 400;
}

double default_value(const Scenario& s, const std::string& name) {
  const double noise = middle_noise(s);
  if (name == "local") return 12 * noise * kUm;
  if (fault_kind(name).of == FaultClass::calibration) return calibration_default(name);
  if (name == "warm-up") return limit_of(s, "sphere_spacing") * kUm;
  if (name == "vibration") return 4 * noise * kUm;
  if (name == "translucent") return 6 * noise * kUm;
  if (name == "two-shells") return 15 * noise * kUm;
  if (name == "outliers") return 0.009;
  if (name == "smoothed") return 3;
  if (name == "rounded")
    return 0.25 * std::min(limit_of(s, "probing_form"), limit_of(s, "sphere_spacing")) * kUm;
  if (name == "scaled") return 500;
  if (name == "short-cap") return 38;
  if (name == "not-soaked") {
    double alpha = 11.5e-6;
    for (const Artefact& a : s.artefacts)
      if (a.kind == ArtefactKind::bar) alpha = a.alpha_per_K;
    return std::max(3.0, 0.8 * limit_of(s, "sphere_spacing") / (alpha * longest_bar(s)));
  }
  return 0;
}

const Artefact* artefact_of(const Scenario& s, const Placement& p) {
  const auto at = std::ranges::find(s.artefacts, p.artefact, &Artefact::serial);
  return at == s.artefacts.end() ? nullptr : &*at;
}

// First scan from `from` on whose artefact is of one of the kinds; else the first of all.
int first_scan(const Scenario& s,
               const std::vector<Placement>& placements,
               std::initializer_list<ArtefactKind> kinds,
               std::size_t from = 0) {
  for (std::size_t i = from; i < placements.size(); ++i)
    if (const Artefact* a = artefact_of(s, placements[i]))
      if (std::ranges::find(kinds, a->kind) != kinds.end()) return static_cast<int>(i);
  return placements.empty() ? -1 : 0;
}

int scan_for(const Scenario& s, const std::vector<Placement>& placements, const std::string& name) {
  using enum ArtefactKind;
  if (name == "vibration" || name == "two-shells" || name == "truncated")
    return placements.size() > 1 ? 1 : 0;
  if (name == "short-cap" || name == "holder") return first_scan(s, placements, {ball, bar}, 1);
  if (name == "wrong-artefact" || name == "outside-volume")
    return first_scan(s, placements, {bar}, 2);
  if (name == "missing") return first_scan(s, placements, {bar}, 3);
  if (name == "duplicate") {
    // A scan that shows the same artefact as the one before it.
    for (std::size_t i = 2; i < placements.size(); ++i)
      if (placements[i].artefact == placements[i - 1].artefact) return static_cast<int>(i);
    return placements.size() > 1 ? 1 : -1;
  }
  return -1;
}

}  // namespace

bool FaultPlan::has(std::string_view name) const {
  return std::ranges::find(all, name, &TrueFault::name) != all.end();
}

double FaultPlan::value(std::string_view name) const {
  const auto at = std::ranges::find(all, name, &TrueFault::name);
  return at == all.end() ? 0 : at->value;
}

int FaultPlan::scan(std::string_view name) const {
  const auto at = std::ranges::find(scans, name, &std::pair<std::string, int>::first);
  return at == scans.end() ? -1 : at->second;
}

double middle_noise(const Scenario& s) {
  const StereoGeometry g = stereo_geometry(s);
  return depth_noise(g.baseline_mm,
                     g.focal_px,
                     s.field_of_view().volume.middle().z(),
                     s.noise.on ? s.noise.disparity_px : MatchingNoise{}.disparity_px);
}

FaultPlan plan_faults(const Scenario& scenario, const std::vector<Placement>& placements) {
  FaultPlan plan;
  for (const Fault& f : scenario.faults) {
    const FaultKind& kind = fault_kind(f.name);
    TrueFault t{f.name,
                f.value.value_or(default_value(scenario, f.name)),
                std::string(kind.unit),
                f.zone,
                ""};
    if (f.name == "local" && t.zone.empty()) t.zone = "mid-top-left";
    if (kind.of == FaultClass::calibration)
      plan.calibration.push_back({t.name, t.value, t.zone});
    else if (const int scan = scan_for(scenario, placements, f.name); scan >= 0)
      plan.scans.emplace_back(f.name, scan);
    plan.all.push_back(t);
  }
  return plan;
}

}  // namespace rigproof
