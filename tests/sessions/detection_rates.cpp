// How often faults of the stated magnitude are found: `detection_rates SEEDS POINTS [FINDING…]`,
// a page of docs/ on stdout. Three rigs; exit 1 when one is missed in more than 5 of 100 sessions.

#include <algorithm>
#include <array>
#include <cstdlib>
#include <iostream>

#include <fmt/format.h>

#include "sessions/planting.h"

namespace rigproof::planted {
namespace {

constexpr std::array kRigs{"R09", "R12", "R21"};

bool raises(const Results& results, const Planting& p) {
  return std::ranges::any_of(results.findings, [&](const Finding& f) {
    return f.id == p.finding && f.severity == p.severity;
  });
}

/// One row of the table; whether 95 of 100 are found.
bool measure(const Planting& p, int seeds, double points) {
  int all = 0;
  std::string cells, missed;
  for (const char* rig : kRigs) {
    int found = 0;
    for (int seed = 1; seed <= seeds; ++seed) {
      const auto s = static_cast<std::uint64_t>(seed);
      const bool there = raises(assessed_at_detection(p, rig, s, points), p);
      found += there;
      if (!there) missed += fmt::format(" {}", seed);
    }
    all += found;
    cells += fmt::format(" {}/{}{} |", found, seeds, missed.empty() ? "" : ", not seed" + missed);
    missed.clear();
  }
  fmt::print("| {} | {} | {} |{}\n", p.finding, to_string(p.severity), p.detect_at, cells);
  std::fflush(stdout);
  return all >= 0.95 * static_cast<double>(kRigs.size()) * seeds;
}

}  // namespace
}  // namespace rigproof::planted

int main(int argc, char** argv) {
  using namespace rigproof::planted;
  if (argc < 3) {
    std::cerr << "usage: detection_rates SEEDS POINTS [FINDING...]\n";
    return 64;
  }
  const int seeds = std::max(1, std::atoi(argv[1]));
  const double points = std::atof(argv[2]);
  const std::vector<std::string> wanted(argv + 3, argv + argc);
  fmt::print("| finding | severity | planted | {} | {} | {} |\n|---|---|---|---|---|---|\n",
             kRigs[0],
             kRigs[1],
             kRigs[2]);
  bool all = true;
  for (const Planting& p : plantings()) {
    if (!p.detect && !p.detect_by_hand) continue;
    if (!wanted.empty() && std::ranges::find(wanted, p.finding) == wanted.end()) continue;
    all = measure(p, seeds, points) && all;
  }
  return all ? 0 : 1;
}
