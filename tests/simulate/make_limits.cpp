// Writes fixtures/limits/<rig>.toml for the sample rigs: for every characteristic the limit
// T ≥ |E[value]| + 4 sd(value) + 2 u, the largest over the positions of `single-view`, from
// simulated sessions of 300 000 points a scan that went through the same road as any other; rounded
// up to two digits. Usage: make_limits FOLDER SEEDS [RIG…]

#include <cmath>
#include <cstdlib>
#include <iostream>
#include <map>

#include <fmt/format.h>

#include "assess/assess.h"
#include "base/atomic_file.h"
#include "base/number.h"
#include "simulate/simulate.h"

namespace {

using namespace rigproof;
namespace fs = std::filesystem;

struct Samples {
  double n = 0, sum = 0, squares = 0, u = 0;
  void add(double value, double uncertainty) {
    n += 1;
    sum += value;
    squares += value * value;
    u = std::max(u, uncertainty);
  }
  double needed() const {
    const double mean = sum / n;
    return std::abs(mean) + 4 * std::sqrt(std::max(0.0, (squares - n * mean * mean) / (n - 1))) +
           2 * u;
  }
};

double rounded_up(double mm) {
  const double digit = std::pow(10, std::floor(std::log10(mm)) - 1);
  return std::ceil(mm / digit - 1e-9) * digit;
}

std::string file_text(const std::string& rig,
                      const std::map<std::string, double>& limits,
                      int seeds) {
  std::string out = fmt::format(
      "# Limits of the virtual rig {}, computed and not agreed with anybody: the largest |mean| + "
      "4\n"
      "# standard deviations + 2 u over the positions of single-view, {} simulated sessions of "
      "about\n"
      "# 300 000 points a scan. They hold for that density: form and flatness grow with the "
      "points.\n"
      "set_by = \"computed from the virtual rig\"\ndate = 2026-02-01\nrule = \"proven\"\n"
      "role = \"supplier\"\n\n[mm]\n",
      rig,
      seeds);
  for (const auto& [id, mm] : limits) out += id + " = " + exact(mm) + "\n";
  return out;
}

std::map<std::string, double> limits_of(const std::string& rig,
                                        const fs::path& scratch,
                                        int seeds) {
  std::map<std::pair<std::string, std::string>, Samples> samples;
  for (const char* procedure : {"single-view", "optical-cms"})
    for (int seed = 1; seed <= seeds; ++seed) {
      const Scenario s = demo_scenario(rig, procedure, {}, 1000 + seed, 300'000);
      const fs::path folder = scratch / (rig + std::to_string(seed));
      fs::remove_all(folder);
      simulate(s, folder);
      const Results results = assess(load_session(folder), {});
      fs::remove_all(folder);
      for (const CharacteristicResult& c : results.characteristics)
        for (const auto& v : c.values)
          samples[{c.id, v.value.scan + v.value.ball}].add(v.value.value, v.value.u);
    }
  std::map<std::string, double> out;
  for (const auto& [where, s] : samples)
    out[where.first] = std::max(out[where.first], rounded_up(s.needed()));
  return out;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 3) {
    std::cerr << "usage: make_limits FOLDER SEEDS [RIG...]\n";
    return 64;
  }
  const fs::path folder = argv[1];
  const int seeds = std::max(2, std::atoi(argv[2]));
  std::vector<std::string> rigs(argv + 3, argv + argc);
  if (rigs.empty()) rigs = {"R06", "R09", "R12", "R15", "R21"};
  for (const std::string& rig : rigs) {
    const auto limits = limits_of(rig, folder / "scratch", seeds);
    write_atomically(folder / (rig + ".toml"), file_text(rig, limits, seeds));
    std::cout << "written: " << (folder / (rig + ".toml")).string() << "\n";
  }
  fs::remove_all(folder / "scratch");
}
