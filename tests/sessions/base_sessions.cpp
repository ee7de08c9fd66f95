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
  return s;
}

namespace {

const AssessOptions kPlain{1, false, {}};

/// The scans of a base, made once; plantings that change them work on a copy.
struct Made {
  Folder folder;
  SimulatedSession session;
  std::unique_ptr<Results> results;

  explicit Made(Base base)
      : folder(base == Base::few ? "few" : "full"),
        session(simulate(base_scenario(base), folder.path(), 1)) {}
};

Made& made(Base base) {
  static std::map<Base, std::unique_ptr<Made>> all;
  auto& one = all[base];
  if (!one) one = std::make_unique<Made>(base);
  return *one;
}

Results planted_in(const fs::path& folder, const Planting& planting, const Truth& truth) {
  Session session = load_session(folder);
  if (planting.session) {
    planting.session(session, truth);
    save_session(session);
    session = load_session(folder);
  }
  return assess(session, kPlain);
}

}  // namespace

Results assessed(const Planting& planting, Scenario scenario) {
  if (planting.scenario) planting.scenario(scenario);
  const Folder folder("planted");
  const SimulatedSession made = simulate(scenario, folder.path(), 1);
  return planted_in(folder.path(), planting, made.truth);
}

Results assessed(const Planting& planting) {
  if (planting.fault.empty() && !planting.scenario) {
    const Made& base = made(planting.base);
    const Folder copy("planted");
    fs::copy(base.folder.path(), copy.path(), fs::copy_options::recursive);
    return planted_in(copy.path(), planting, base.session.truth);
  }
  std::vector<Fault> faults;
  if (!planting.fault.empty()) faults.push_back(parse_fault(planting.fault));
  return assessed(planting, base_scenario(planting.base, 1, faults));
}

Results assessed_at_detection(const Planting& planting,
                              const std::string& rig,
                              std::uint64_t seed,
                              double points) {
  if (planting.detect_points > 0) points = planting.detect_points;
  Scenario s = base_scenario(planting.base, seed, {}, rig, points);
  if (planting.detect) s.faults = {parse_fault(planting.detect(s))};
  Planting at = planting;
  if (planting.detect_by_hand) at.session = planting.detect_by_hand;
  return assessed(at, s);
}

const Results& clean(Base base) {
  Made& one = made(base);
  if (!one.results)
    one.results = std::make_unique<Results>(assess(load_session(one.folder.path()), kPlain));
  return *one.results;
}

}  // namespace rigproof::planted
