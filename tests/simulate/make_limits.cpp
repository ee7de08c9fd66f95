// Writes the limits of the sample rigs, fixtures/limits/<rig>-agreed.toml, from simulated sessions
// that went the road of any other. For every characteristic the largest T over the positions of
// single-view, at 40 000 and at 300 000 points a scan (scatter shrinks with the points, form grows;
// a third of the sessions are dense), of
//   T = |mean| + 4 sd + 1.6449 u, and at least 3 U,
// rounded up to two digits: mean over the sessions, sd the larger of what was seen there (pooled
// over the positions) and what is predicted, √(u_fit² + u²); the last term is the guard band of the
// rule `proven`. Usage: make_limits FOLDER SEEDS [RIG…]

#include <cmath>
#include <cstdlib>
#include <iostream>
#include <map>

#include <fmt/format.h>

#include "assess/assess.h"
#include "base/atomic_file.h"
#include "simulate/assessed.h"

namespace {

using namespace rigproof;
namespace fs = std::filesystem;

constexpr double kSparse = 40'000, kDense = 300'000;  // points a scan

struct Samples {
  double n = 0, sum = 0, squares = 0, predicted = 0, u = 0, U = 0;

  void add(const TestValue& v) {
    n += 1;
    sum += v.value;
    squares += v.value * v.value;
    predicted = std::max(predicted, v.u_fit * v.u_fit + v.u * v.u);
    u = std::max(u, v.u);
    U = std::max(U, v.U);
  }
  double about_mean() const { return squares - sum * sum / n; }
};

using Positions = std::map<std::string, Samples>;  // by scan and ball

double needed(const Positions& positions) {
  double squares = 0, dof = 0, most = 0;
  for (const auto& [where, s] : positions) {
    squares += s.about_mean();
    dof += s.n - 1;
  }
  for (const auto& [where, s] : positions) {
    const double sd = std::sqrt(std::max(dof > 0 ? squares / dof : 0, s.predicted));
    most = std::max({most, std::abs(s.sum / s.n) + 4 * sd + 1.6449 * s.u, 3 * s.U});
  }
  return most;
}

double rounded_up(double mm) {
  const double digit = std::pow(10, std::floor(std::log10(mm)) - 1);
  return std::ceil(mm / digit - 1e-9) * digit;
}

// The positions of single-view with the characteristics of optical-cms evaluated too: its zones are
// the same.
Scenario whole_test(const std::string& rig, int seed, double points) {
  Scenario s = demo_scenario(rig, "single-view", {}, static_cast<std::uint64_t>(seed), points);
  const Procedure more = load_procedure(find_input("procedures", "optical-cms"));
  s.procedure.characteristics.insert(more.characteristics.begin(), more.characteristics.end());
  return s;
}

std::map<std::string, double> limits_of(const std::string& rig, int seeds) {
  std::map<std::string, double> out;
  for (const double points : {kSparse, kDense}) {
    std::map<std::string, Positions> samples;
    for (int seed = 1; seed <= (points == kDense ? (seeds + 2) / 3 : seeds); ++seed) {
      const Assessed a = assessed(whole_test(rig, 1000 + seed, points), "limits_" + rig);
      for (const CharacteristicResult& c : a.results.characteristics)
        for (const JudgedValue& v : c.values)
          samples[c.id][v.value.scan + v.value.ball + v.value.pair.second].add(v.value);
    }
    for (const auto& [id, positions] : samples) {
      out[id] = std::max(out[id], rounded_up(needed(positions)));
      fmt::print("{} {} points: {} {:.4f}\n", rig, points, id, needed(positions));
    }
    std::fflush(stdout);
  }
  return out;
}

std::string file_text(const std::string& rig, const std::map<std::string, double>& limits) {
  std::string out = fmt::format(
      "# Limits for the field of rig {}, computed from sessions of the virtual rig "
      "(docs/virtual-rig.md):\n"
      "# the largest |mean| + 4 standard deviations + guard band over the positions, at 40 000 to\n"
      "# 300 000 points a scan. Form and flatness grow with the points: more need other limits.\n"
      "set_by = \"Sample customer (invented)\"\n"
      "date = 2026-02-01\n"
      "rule = \"proven\"                    # simple | proven | guarded (+ w_mm)\n"
      "role = \"supplier\"                  # carries the burden of proof\n\n[mm]\n",
      rig);
  for (const auto& [id, mm] : limits) out += fmt::format("{} = {:.2g}\n", id, mm);
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
    const fs::path file = folder / (rig + "-agreed.toml");
    write_atomically(file, file_text(rig, limits_of(rig, seeds)));
    std::cout << "written: " << file.string() << std::endl;
  }
}
