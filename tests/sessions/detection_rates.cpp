// How often a fault of the stated magnitude is found: `detection_rates SEEDS POINTS [FINDING…]`.
// Three rigs; exit 1 when one is found in fewer than 95 of 100 sessions.

#include <algorithm>
#include <cstdlib>
#include <iostream>

#include <fmt/format.h>

#include "sessions/planting.h"

int main(int argc, char** argv) {
  using namespace rigproof;
  using namespace rigproof::planted;
  if (argc < 3) {
    std::cerr << "usage: detection_rates SEEDS POINTS [FINDING...]\n";
    return 64;
  }
  const int seeds = std::max(1, std::atoi(argv[1]));
  const double points = std::atof(argv[2]);
  const std::vector<std::string> wanted(argv + 3, argv + argc);
  bool all = true;
  for (const Planting& p : plantings()) {
    if (!p.detect || (!wanted.empty() && std::ranges::find(wanted, p.finding) == wanted.end()))
      continue;
    int found = 0, runs = 0;
    std::string missed;
    for (const char* rig : {"R09", "R12", "R21"})
      for (int seed = 1; seed <= seeds; ++seed) {
        const Results r = assessed_at_detection(p, rig, static_cast<std::uint64_t>(seed), points);
        const bool there = std::ranges::any_of(r.findings, [&](const Finding& f) {
          return f.id == p.finding && f.severity == p.severity;
        });
        ++runs;
        found += there;
        if (!there) missed += fmt::format(" {}/{}", rig, seed);
      }
    fmt::print("{:26} {:4} at {:36} {}/{}{}\n",
               p.finding,
               to_string(p.severity),
               p.detect_at,
               found,
               runs,
               missed.empty() ? "" : "  missed:" + missed);
    std::fflush(stdout);
    all = all && found >= 0.95 * runs;
  }
  return all ? 0 : 1;
}
