// Sessions without a fault, as `demo` makes them, are not rejected: none ends outside or without a
// verdict, none has a finding that stops, and at most 2 % have a warning. One whose weakest value
// lies within the guard band of its limit may end too close to call: there the rule itself says
// "not proven", which is no alarm. Usage: clean_sessions SEEDS POINTS [RIG…]; exit 1 when a demand
// is not met.

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
  int total = 0, within = 0, close = 0, outside = 0, invalid = 0, stopped = 0, warned = 0;
  for (const std::string& rig : rigs)
    for (const char* procedure : {"half-hour", "single-view", "optical-cms", "interim"})
      for (int seed = 1; seed <= seeds; ++seed) {
        const Scenario s =
            demo_scenario(rig, procedure, {}, static_cast<std::uint64_t>(seed), points);
        const Results r = assessed_with_limits(s, "clean_" + rig).results;
        std::string loud;
        bool stop = false, warn = false;
        for (const Finding& f : r.findings) {
          if (f.severity == Severity::note) continue;
          (f.severity == Severity::stop ? stop : warn) = true;
          loud += fmt::format("\n    {} {} {}", to_string(f.severity), f.id, f.text);
        }
        double worst = 0;
        for (const CharacteristicResult& c : r.characteristics)
          for (const JudgedValue& v : c.values)
            if (v.decision) worst = std::max(worst, v.decision->ratio);
        ++total;
        within += r.verdict == Verdict::within;
        close += r.verdict == Verdict::undecided;
        outside += r.verdict == Verdict::outside;
        invalid += r.verdict == Verdict::invalid;
        stopped += stop;
        warned += warn;
        fmt::print("{} {} seed {}: {}, worst ratio {:.2f}{}\n",
                   rig,
                   procedure,
                   seed,
                   r.headline,
                   worst,
                   loud);
        std::fflush(stdout);
      }
  fmt::print(
      "{} sessions: {} within limits, {} too close to call, {} outside, {} without a verdict; "
      "{} with a stop, {} with a warning\n",
      total,
      within,
      close,
      outside,
      invalid,
      stopped,
      warned);
  return outside + invalid + stopped > 0 || 50 * warned > total;
}
