// Does u_fit predict what repeats? Simulated sessions: scatter of (measured − expected) over u_fit,
// pooled over values of one kind, and one χ² over all coordinates of all centres.
// Usage: ufit_scatter SEEDS POINTS [RIG…]; exit 1 when the ratio of sizes, spacings or centres is
// more than 10 % from 1, or χ² of the centres outside its 99 % band.

#include <cstdlib>
#include <iostream>

#include <fmt/format.h>

#include "simulate/scatter.h"

int main(int argc, char** argv) {
  using namespace rigproof;
  if (argc < 3) {
    std::cerr << "usage: ufit_scatter SEEDS POINTS [RIG...]\n";
    return 64;
  }
  const int seeds = std::max(1, std::atoi(argv[1]));
  const double points = std::atof(argv[2]);
  std::vector<std::string> rigs(argv + 3, argv + argc);
  if (rigs.empty()) rigs = {"R06", "R09", "R12", "R15", "R21"};
  const auto print = [](const std::string& who, const Scatters& by) {
    for (const auto& [id, s] : by)
      fmt::print(
          "{:4} {:15} n {:5}  scatter {:7.3f} um  u_fit {:7.3f} um  mean {:7.3f} um  "
          "ratio {:.3f} +- {:.3f}\n",
          who,
          id,
          s.n,
          1e3 * s.scatter(),
          1e3 * s.u_fit(),
          1e3 * s.mean(),
          s.ratio(),
          s.ratio() / std::sqrt(2.0 * s.n));
    std::fflush(stdout);
  };
  Scatters pooled;
  for (const std::string& rig : rigs) {
    Scatters here;
    for (int seed = 1; seed <= seeds; ++seed)
      add_scatter(demo_scenario(rig, "half-hour", {}, static_cast<std::uint64_t>(seed), points),
                  here);
    print(rig, here);
    for (const auto& [id, s] : here) pooled[id] += s;
  }
  print("all", pooled);
  int failed = 0;
  for (const char* id : {"probing_size", "sphere_spacing", "center"})
    failed += !(std::abs(pooled[id].ratio() - 1) <= 0.1);
  const Scatter& c = pooled["center"];
  const double lo = chi2_quantile(c.n, -2.5758), hi = chi2_quantile(c.n, 2.5758);
  fmt::print(
      "centres: chi2 {:.1f} of {} values, 99 % band {:.1f} to {:.1f}\n", c.chi2, c.n, lo, hi);
  failed += !(c.chi2 >= lo && c.chi2 <= hi);
  return failed > 0;
}
