// Sessions without a fault, as `demo` makes them: every one must end within limits, without a stop
// and without a false warning. Usage: clean_sessions SEEDS POINTS [RIG…]; exit 1 when one does not
// end within limits or more than 2 % carry a warning.

#include <cstdlib>
#include <iostream>

#include <fmt/format.h>

#include "simulate/assessed.h"

int main(int argc, char** argv) {
  using namespace rigproof;
  if (argc < 3) {
    std::cerr << "usage: clean_sessions SEEDS POINTS [RIG...]\n";
    return 64;
  }
  const int seeds = std::max(1, std::atoi(argv[1]));
  const double points = std::atof(argv[2]);
  std::vector<std::string> rigs(argv + 3, argv + argc);
  if (rigs.empty()) rigs = {"R06", "R09", "R12", "R15", "R21"};
  int total = 0, failed = 0, warned = 0;
  for (const std::string& rig : rigs)
    for (const char* procedure : {"half-hour", "single-view", "optical-cms", "interim"})
      for (int seed = 1; seed <= seeds; ++seed) {
        const Scenario s =
            demo_scenario(rig, procedure, {}, static_cast<std::uint64_t>(seed), points);
        const Results r = assessed_with_limits(s, "clean_" + rig).results;
        std::string loud;
        for (const Finding& f : r.findings)
          if (f.severity != Severity::note) loud += fmt::format("\n    {} {}", f.id, f.text);
        double worst = 0;
        for (const CharacteristicResult& c : r.characteristics)
          for (const JudgedValue& v : c.values)
            if (v.decision) worst = std::max(worst, v.decision->ratio);
        ++total;
        failed += r.verdict != Verdict::within;
        warned += !loud.empty();
        fmt::print("{} {} seed {}: {}, worst ratio {:.2f}{}\n",
                   rig,
                   procedure,
                   seed,
                   r.headline,
                   worst,
                   loud);
        std::fflush(stdout);
      }
  fmt::print("{} sessions: {} not within limits, {} with a warning\n", total, failed, warned);
  return failed > 0 || 50 * warned > total;
}
