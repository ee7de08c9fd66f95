#include "diagnose/trial.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <set>

#include <unistd.h>

#include "assess/assess.h"
#include "diagnose/virtual_session.h"
#include "simulate/simulate.h"

namespace rigproof {
namespace {

constexpr double kWholePoints = 40'000;
constexpr double kTwin = 0.95;  // cosine of near-twins

double largest_gap(const StereoRig& rig, const Volume& volume, const Signature& s) {
  const CalibrationFaultKind* kind = find_calibration_fault(s.id);
  if (!kind || s.id == "local") return 0;
  const CalibrationFault step{s.id, kind->unit_step, ""};
  const DisplacementField field(rig, believe(rig, {&step, 1}));
  double worst = 0;
  for (int i = 0; i < 27; ++i) {
    const Vec3 p = volume.from_normalized(Vec3(i % 3 - 1, i / 3 % 3 - 1, i / 9 - 1).cast<double>());
    worst = std::max(worst, field.gap(p) / p.z() * rig.cameras[0].focal_px);
  }
  return worst / kind->unit_step;
}

}  // namespace

const std::vector<std::string>& trial_rigs() {
  static const std::vector<std::string> rigs{"R06", "R12", "R21"};
  return rigs;
}

std::string fault_class(const std::string& id) {
  if (id == "board-pitch" || id == "board-temperature") return "baseline";
  return id == "roll" ? "pitch" : id;
}

Scenario trial_scenario(const std::string& rig,
                        const std::vector<Fault>& faults,
                        std::uint64_t seed,
                        const std::string& procedure) {
  Scenario s = demo_scenario(rig, procedure, faults, seed, 300'000);
  s.step = 2;
  return s;
}

TrialRig::TrialRig(const std::string& rig, const std::string& which) : name(rig), procedure(which) {
  const Scenario scenario = trial_scenario(rig, {}, 1, procedure);
  const SessionSetup setup = prepare(scenario);
  const DiagnosisModel model(observed_session(setup, 1));
  signatures = model.signatures;
  geometry = model.geometry;
  for (const Signature& s : signatures) gap_px.push_back(largest_gap(setup.rig, setup.volume(), s));
}

int TrialRig::index(const std::string& id, const std::string& zone) const {
  for (std::size_t i = 0; i < signatures.size(); ++i)
    if (signatures[i].id == id && signatures[i].zone == zone) return static_cast<int>(i);
  return -1;
}

Diagnosis diagnose_trial(const TrialRig& rig,
                         const std::vector<Fault>& faults,
                         std::uint64_t seed,
                         Depth depth) {
  Scenario scenario = trial_scenario(rig.name, faults, seed, rig.procedure);
  if (depth == Depth::observations) return diagnose(observed_session(prepare(scenario), seed));
  scenario.step = 0;
  scenario.points = kWholePoints;
  const auto folder = std::filesystem::temp_directory_path() /
                      ("rigproof-trial-" + rig.name + "-" + std::to_string(getpid()));
  std::filesystem::remove_all(folder);
  simulate(scenario, folder);
  const Diagnosis d = assess(load_session(folder)).diagnosis;
  std::filesystem::remove_all(folder);
  return d;
}

Trial run_trial(const TrialRig& rig, const Fault& fault, std::uint64_t seed, Depth depth) {
  Trial t;
  t.planted = fault;
  t.diagnosis = diagnose_trial(
      rig, fault.name.empty() ? std::vector<Fault>{} : std::vector{fault}, seed, depth);
  std::set<std::string> classes;
  const int truth = rig.index(fault.name, fault.zone);
  for (const Cause& c : t.diagnosis.causes) {
    classes.insert(fault_class(c.id) + c.zone);
    const bool same = fault_class(c.id) == fault_class(fault.name) && c.zone == fault.zone;
    t.in_set |= same;
    if (&c == &t.diagnosis.causes.front() && truth >= 0)
      t.first = same || std::abs(rig.geometry.cosine(truth, rig.index(c.id, c.zone))) >= kTwin;
    if (c.id == fault.name && c.zone == fault.zone) {
      t.has_coefficient = true;
      t.standardised = (c.coefficient - *fault.value) / c.u;
    }
  }
  t.set_size = static_cast<int>(classes.size());
  return t;
}

}  // namespace rigproof
