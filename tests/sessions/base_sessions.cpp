#include <algorithm>
#include <map>
#include <memory>

#include <unistd.h>

#include "sessions/planting.h"
#include "simulate/fault_plan.h"

namespace rigproof::planted {
namespace {

namespace fs = std::filesystem;

// Keeps the positions with these ids and asks for no more than they are.
void keep(Procedure& p, const std::vector<std::string>& ids, Demand demand) {
  std::erase_if(p.positions, [&](const PlannedPosition& at) {
    return std::ranges::find(ids, at.id) == ids.end();
  });
  p.demand = demand;
}

}  // namespace

Folder::Folder(const std::string& name)
    : path_(fs::temp_directory_path() / ("rigproof_" + std::to_string(getpid()) + "_" + name)) {
  fs::remove_all(path_);
}
Folder::~Folder() {
  std::error_code ignored;
  fs::remove_all(path_, ignored);
}

Scenario base_scenario(Base base,
                       std::uint64_t seed,
                       const std::vector<Fault>& faults,
                       const std::string& rig,
                       double points) {
  Scenario s = demo_scenario(rig, "half-hour", faults, seed, points);
  s.artefact_C = 20.3;
  // What a careful session of such a rig at this density holds with room to spare.
  const double noise = middle_noise(s);
  s.limits.by_characteristic = {{"probing_form", {14 * noise, 0}},
                                {"probing_size", {10 * noise, 0}},
                                {"sphere_spacing", {8 * noise, 0}},
                                {"flatness", {16 * noise, 0}}};
  s.limits.rule = DecisionRule::proven;
  s.limits_given = true;
  if (base == Base::few)
    keep(s.procedure, {"P01", "P02", "P05", "P06", "P10", "P14", "P15"}, {6, 4, 1, true});
  if (base == Base::frontal) keep(s.procedure, {"P04", "P05", "P06", "P10"}, {0, 3, 1, false});
  return s;
}

namespace {

Results assessed(const Planting& planting, Scenario scenario) {
  if (planting.scenario) planting.scenario(scenario);
  const Folder folder("planted");
  const SimulatedSession made = simulate(scenario, folder.path(), 1);
  Session session = load_session(folder.path());
  if (planting.session) {
    planting.session(session, made.truth);
    save_session(session);
    session = load_session(folder.path());
  }
  AssessOptions options;
  options.threads = 1;
  options.diagnosis = false;
  return assess(session, options);
}

}  // namespace

Results assessed(const Planting& planting) {
  std::vector<Fault> faults;
  if (!planting.fault.empty()) faults.push_back(parse_fault(planting.fault));
  return assessed(planting, base_scenario(planting.base, 1, faults));
}

Results assessed_at_detection(const Planting& planting,
                              const std::string& rig,
                              std::uint64_t seed,
                              double points) {
  Scenario s = base_scenario(planting.base, seed, {}, rig, points);
  s.faults = {parse_fault(planting.detect(s))};
  return assessed(planting, s);
}

const Results& clean(Base base) {
  static std::map<Base, std::unique_ptr<Results>> made;
  auto& results = made[base];
  if (!results) {
    Planting none;
    none.base = base;
    results = std::make_unique<Results>(assessed(none));
  }
  return *results;
}

}  // namespace rigproof::planted
