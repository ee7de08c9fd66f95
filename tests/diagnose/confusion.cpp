// Writes docs/diagnosis.md: how well the diagnosis names planted faults. Arguments: the file, then
// sessions a rig, fault and size, the first seed, and sessions of whole scans a rig and fault. Exit
// 0 when every demand is met, 1 otherwise.
#include <algorithm>
#include <cstdlib>
#include <fstream>
#include <iostream>
#include <thread>

#include "diagnose/tally.h"

int main(int argc, char** argv) {
  using namespace rigproof;
  if (argc < 2) {
    std::cerr << "usage: diagnose_confusion FILE [SESSIONS] [SEED] [WHOLE]\n";
    return 64;
  }
  const int sessions = argc > 2 ? std::atoi(argv[2]) : 10;
  const std::uint64_t seed = argc > 3 ? std::strtoull(argv[3], nullptr, 10) : 1;
  const int whole = argc > 4 ? std::atoi(argv[4]) : 1;
  // A thread a rig; added up in order, so that the file is the same whatever the threads.
  std::vector<Statistics> of_rig(trial_rigs().size());
  {
    std::vector<std::jthread> threads;
    for (std::size_t i = 0; i < of_rig.size(); ++i)
      threads.emplace_back([&, i] {
        const std::uint64_t first = seed + 10'000'000 * i;
        const TrialRig rig(trial_rigs()[i]);
        of_rig[i].add_rig(rig, sessions, first);
        if (whole > 0) of_rig[i].add_whole(rig, whole, first + 5'000'000);
      });
  }
  Statistics statistics;
  for (const Statistics& s : of_rig) statistics.add(s);
  std::ofstream out(argv[1]);
  out << statistics.markdown(sessions, seed);
  if (!out) return 73;
  return std::ranges::all_of(statistics.demands(), &StatisticsDemand::met) ? 0 : 1;
}
