// plan_figures [RIG [PROCEDURE]]: plan and textbook arrangement of each sample rig side by side.

#include <chrono>

#include <fmt/format.h>

#include "plan/plan.h"
#include "plan_session.h"

int main(int argc, char** argv) {
  using namespace rigproof;
  const std::vector<std::string> rigs =
      argc > 1 ? std::vector<std::string>{argv[1]}
               : std::vector<std::string>{"R06", "R09", "R12", "R15", "R21"};
  for (const std::string& name : rigs) {
    const Session session = session_before_scanning(name, argc > 2 ? argv[2] : "half-hour");
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
    for (const bool only : {false, true}) {
      const Plan::Worst w = plan.worst(only);
      fmt::print("  {} {:.1f} um, textbook {:.1f} um, gain {:.0f} %\n",
                 only ? "improvable" : "all groups",
                 1e3 * w.plan,
                 1e3 * w.textbook,
                 100 * w.gain());
    }
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
