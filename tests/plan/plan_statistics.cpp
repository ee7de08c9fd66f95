// What a plan states, held against the virtual rig.
//   plan_statistics visible RIG [POINTS]       a rendered session: every scan used, none missing
//   plan_statistics clean RIG RUNS [whole]     how many clean sessions name anything
//   plan_statistics detect RIG FAULT RUNS [whole]  how many name something at the stated limit
// Sessions of `clean` and `detect` are carried through the rig's exact optics to what an evaluation
// would observe; with `whole` they are rendered, located, fitted and judged.
#include <algorithm>
#include <cmath>
#include <cstdlib>

#include <fmt/format.h>
#include <unistd.h>

#include "assess/assess.h"
#include "diagnose/virtual_session.h"
#include "planned_scenario.h"

namespace {

using namespace rigproof;
namespace fs = std::filesystem;

constexpr double kPoints = 40'000;

fs::path scratch() {
  return fs::temp_directory_path() / fmt::format("plan_statistics_{}", ::getpid());
}

Results run(const Plan& plan,
            const std::string& rig,
            const std::vector<Fault>& faults,
            std::uint64_t seed,
            double points) {
  const fs::path folder = scratch();
  fs::remove_all(folder);
  const Session session =
      simulate(planned_scenario(plan, rig, "half-hour", faults, seed, points), folder).session;
  Results results = assess(session);
  fs::remove_all(folder);
  return results;
}

Diagnosis observed(const Plan& plan,
                   const std::string& rig,
                   const std::vector<Fault>& faults,
                   std::uint64_t seed) {
  const Scenario scenario = planned_scenario(plan, rig, "half-hour", faults, seed, kPoints);
  return diagnose(observed_session(prepare(scenario), seed));
}

int visible(const std::string& rig, double points) {
  const Plan plan = plan_of_virtual_rig(rig, "half-hour", points, scratch());
  const Results results = run(plan, rig, {}, 1, points);
  int bad = !plan.meets_procedure();
  for (const ScanRecord& s : results.scans)
    if (s.status != ScanStatus::used) {
      ++bad;
      fmt::print("{} {} {}\n", s.file, to_string(s.status), s.reason);
    }
  for (const Finding& f : results.findings)
    if (f.id == "short-cap" || f.id == "outside-volume" || f.id == "position-missing" ||
        f.id == "holder-cut" || f.id == "clustered") {
      ++bad;
      fmt::print("{} {} {}\n", f.id, f.scan, f.text);
    }
  fmt::print("{}: {} scans, {} complaints\n", rig, results.scans.size(), bad);
  return bad == 0 ? 0 : 1;
}

// Sessions that name anything, and those with the planted fault among the causes that they cannot
// tell apart.
int named(const std::string& rig, const std::string& fault, int runs, bool whole) {
  const Plan plan = plan_of_virtual_rig(rig, "half-hour", kPoints, scratch());
  double value = 0;
  for (const PlanLimit& l : plan.limits)
    if (l.id == fault) value = l.value;
  if (!fault.empty() && !(value > 0)) {
    fmt::print("{} states no limit for {}\n", rig, fault);
    return 1;
  }
  int any = 0, found = 0;
  const auto tell = [&](std::FILE* to, int of) {
    fmt::print(to,
               "{} {} {:.4g}: {} sessions, {:.1f} % name something, {:.1f} % the fault\n",
               rig,
               fault.empty() ? "clean" : fault,
               value,
               of,
               100.0 * any / of,
               100.0 * found / of);
  };
  for (int i = 0; i < runs; ++i) {
    const double sign = i % 2 ? -1 : 1;
    const std::vector<Fault> faults =
        fault.empty() ? std::vector<Fault>{} : std::vector<Fault>{{fault, sign * value, ""}};
    const auto seed = static_cast<std::uint64_t>(1000 + i);
    const Diagnosis d =
        whole ? run(plan, rig, faults, seed, kPoints).diagnosis : observed(plan, rig, faults, seed);
    any += !d.clean;
    found += std::ranges::find(d.causes, fault, &Cause::id) != d.causes.end();
    if (whole && (i + 1) % 20 == 0 && i + 1 < runs) tell(stderr, i + 1);
  }
  tell(stdout, runs);
  const auto share = [&](int of) { return static_cast<double>(of) / runs; };
  // Clean sessions: 5 %, and what 99 of 100 samples of this size may show of it by chance.
  if (fault.empty()) return share(any) <= 0.05 + 2.33 * std::sqrt(0.05 * 0.95 / runs) ? 0 : 1;
  return share(found) >= 0.90 && share(found) <= 0.99 ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  const std::string mode = argc > 2 ? argv[1] : "";
  const bool whole = argc > 2 && std::string(argv[argc - 1]) == "whole";
  if (mode == "visible") return visible(argv[2], argc > 3 ? std::atof(argv[3]) : kPoints);
  if (mode == "clean" && argc > 3) return named(argv[2], "", std::atoi(argv[3]), whole);
  if (mode == "detect" && argc > 4) return named(argv[2], argv[3], std::atoi(argv[4]), whole);
  fmt::print(stderr, "see the head of plan_statistics.cpp\n");
  return 64;
}
