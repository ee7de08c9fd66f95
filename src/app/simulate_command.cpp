#include "app/simulate_command.h"

#include <cmath>
#include <memory>

#include <fmt/format.h>

#include "app/assess_command.h"
#include "app/console.h"
#include "base/error.h"
#include "base/input_file.h"
#include "seal/seal.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

constexpr double kLeastPoints = 1000, kMostPoints = 20e6;
constexpr int kMostSeed = 1 << 30;

// A whole number that an option may hold.
double checked(const std::optional<double>& given,
               double fallback,
               double least,
               double most,
               const char* option) {
  if (!given) return fallback;
  if (!(*given >= least && *given <= most) || *given != std::floor(*given))
    throw Error(
        ErrorKind::usage,
        fmt::format("{} {} is not a whole number from {} to {}", option, *given, least, most),
        fmt::format(
            "Give one, e.g. {} {}; without the option it is {}.", option, fallback, fallback));
  return *given;
}

SimulationProgress reported_on(const Console& console) {
  auto bar = std::make_shared<std::unique_ptr<Progress>>();
  return [&console, bar](std::size_t done, std::size_t total) {
    if (!*bar) *bar = std::make_unique<Progress>(console, "rendered scan", total);
    if (done > 0) (*bar)->step(fmt::format("{} of {}", done, total));
  };
}

void say_what_was_made(const Console& console, const SimulatedSession& made) {
  console.talk(fmt::format("{} scans of a virtual rig ({}), every {}. pixel, in {}",
                           made.truth.scans.size(),
                           display(made.session.rig.id),
                           made.step,
                           display(made.session.folder)));
  for (const TrueFault& f : made.truth.faults)
    console.talk(f.unit.empty() ? fmt::format("  planted: {}", f.name)
                                : fmt::format("  planted: {} {} {}", f.name, f.value, f.unit));
}

struct DemoInput {
  DemoOptions demo;
  std::optional<double> seed, points;
};

int run_demo(DemoInput input, Console& console) {
  DemoOptions& o = input.demo;
  o.seed = static_cast<std::uint64_t>(checked(input.seed, 1, 0, kMostSeed, "--seed"));
  o.points = checked(input.points, o.points, kLeastPoints, kMostPoints, "--points");
  const fs::path folder = demo_folder(o);
  refuse_sealed(folder);
  say_what_was_made(console, make_demo(o, folder, reported_on(console)));
  // From here on the session is one like any other.
  Command assess = assess_command();
  for (Option& option : assess.options)
    if (option.name == "SESSION") *std::get<std::string*>(option.into) = folder.string();
  return assess.run(console);
}

struct SimulateInput {
  std::string scenario, out;
};

int run_simulate(const SimulateInput& input, Console& console) {
  const Scenario scenario = load_scenario(input.scenario);
  refuse_sealed(input.out);
  const SimulatedSession made = simulate(scenario, input.out, 0, reported_on(console));
  say_what_was_made(console, made);
  console.result("SIMULATED session in " + display(made.session.folder));
  console.result("Next: rigproof assess " + display(made.session.folder));
  return 0;
}

}  // namespace

fs::path demo_folder(const DemoOptions& options) {
  if (!options.out.empty()) return options.out;
  fs::path folder = "rigproof-demo";
  for (int i = 2; fs::exists(folder); ++i) folder = fmt::format("rigproof-demo-{}", i);
  return folder;
}

SimulatedSession make_demo(const DemoOptions& options,
                           const fs::path& folder,
                           const SimulationProgress& progress) {
  std::vector<Fault> faults;
  for (const std::string& text : options.faults) faults.push_back(parse_fault(text));
  const Scenario scenario =
      demo_scenario(options.rig, options.procedure, faults, options.seed, options.points);
  return simulate(scenario, folder, 0, progress);
}

Command demo_command() {
  auto o = std::make_shared<DemoInput>();
  return {"demo",
          "A session with a virtual rig, made and assessed; no argument needed.",
          {"rigproof demo",
           "rigproof demo --fault toe-in=120 --seed 7",
           "rigproof demo --rig R21 --procedure single-view --fault inches --out try"},
          {{"--out", "DIR", "the session's folder (default ./rigproof-demo)", &o->demo.out},
           {"--rig", "NAME", "the virtual rig (default R12)", &o->demo.rig},
           {"--procedure", "NAME", "the procedure (default half-hour)", &o->demo.procedure},
           {"--fault", "NAME[=VALUE]", "plant a fault; may be repeated", &o->demo.faults},
           {"--seed", "N", "another session of the same kind (default 1)", &o->seed},
           {"--points", "N", "points a scan, about (default 300000)", &o->points}},
          "0 within · 1 outside · 2 too close to call · 3 not a valid test · 64–78 errors",
          [o](Console& console) { return run_demo(*o, console); }};
}

Command simulate_command() {
  auto o = std::make_shared<SimulateInput>();
  Option scenario{"SCENARIO", "SCENARIO", "the scenario, a TOML file", &o->scenario};
  Option out{"--out", "DIR", "the session's folder; must not hold anything", &o->out};
  scenario.required = out.required = true;
  return {"simulate",
          "Scans from a virtual rig, as a session with its truth beside it.",
          {"rigproof simulate scenario.toml --out made",
           "rigproof simulate scenario.toml --out made && rigproof assess made",
           "rigproof simulate fixtures/scenarios/example.toml --out made --quiet"},
          {scenario, out},
          "0 made · 64–78 errors",
          [o](Console& console) { return run_simulate(*o, console); }};
}

}  // namespace rigproof
