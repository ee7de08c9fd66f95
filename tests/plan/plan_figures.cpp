// plan_figures [registered] [RIG [PROCEDURE]]: plan and textbook arrangement of each sample rig
// side by side, with a long and a short bar, a plate and a ball, or with the artefacts of
// fixtures/.

#include <algorithm>
#include <chrono>
#include <cmath>

#include <fmt/format.h>

#include "plan/plan.h"
#include "plan_session.h"

int main(int argc, char** argv) {
  using namespace rigproof;
  std::vector<std::string> words(argv + 1, argv + argc);
  const bool registered = !words.empty() && words.front() == "registered";
  if (registered) words.erase(words.begin());
  const std::vector<std::string> rigs =
      words.empty() ? std::vector<std::string>{"R06", "R09", "R12", "R15", "R21"}
                    : std::vector<std::string>{words.front()};
  const std::string procedure = words.size() > 1 ? words[1] : "half-hour";
  for (const std::string& name : rigs) {
    const Session session = registered ? session_with_registered_artefacts(name, procedure)
                                       : session_before_scanning(name, procedure);
    const auto start = std::chrono::steady_clock::now();
    const Plan plan = make_plan(session);
    const double seconds =
        std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
    fmt::print("{} {}: {} scans, {} changes, {:.1f} s, meets {}\n",
               name,
               session.field_name,
               plan.scans.size(),
               plan.artefact_changes,
               seconds,
               plan.meets_procedure());
    const auto print = [](const char* over, const Plan::Worst& w) {
      fmt::print("  {} {:.2f} um, textbook {:.2f} um, gain {:.1f} %\n",
                 over,
                 1e3 * w.plan,
                 1e3 * w.textbook,
                 100 * w.gain());
    };
    print("every fault of the calibration", plan.worst());
    print("one fault a group", plan.worst([](const PlanLimit& l) { return l.in_groups; }));
    print("what placing can better",
          plan.worst([](const PlanLimit& l) { return l.calibration && l.improvable(); }));
    fmt::print("  scale, however many scans: {:.2f} um\n", 1e3 * plan.scale_floor_mm);
    double behind = 0;
    for (const PlanLimit& l : plan.limits)
      behind = std::max(behind, l.worst_sd_mm / l.textbook_sd_mm.value_or(INFINITY) - 1);
    fmt::print("  no limit more than {:.1f} % worse\n", 100 * behind);
    for (const std::string& hint : plan.hints) fmt::print("  hint: {}\n", hint);
    for (const std::string& why : plan.lacking) fmt::print("  lacking: {}\n", why);
    for (const PlannedScan& p : plan.scans)
      fmt::print("  {} {:12} {:40} lean {:4.1f} seen {:.2f} ({:.0f} {:.0f} {:.0f}) {} {}\n",
                 p.id,
                 p.artefact,
                 p.place,
                 p.lean_deg,
                 p.seen,
                 p.center.x(),
                 p.center.y(),
                 p.center.z(),
                 to_string(p.role),
                 p.repeats);
    for (const PlanLimit& l : plan.limits)
      fmt::print(
          "  {} {:18} {:20} {:8.1f} {:5} sd {:6.1f} um  textbook {:6.1f} um  {:+.0f} %, least "
          "{:.1f}\n",
          l.in_groups ? "*" : " ",
          l.id,
          l.zone,
          l.value,
          l.unit,
          1e3 * l.worst_sd_mm,
          1e3 * l.textbook_sd_mm.value_or(INFINITY),
          100 * (l.worst_sd_mm / l.textbook_sd_mm.value_or(INFINITY) - 1),
          1e3 * l.least_sd_mm);
  }
}
