// Writes docs/diagnosis.md: how well the diagnosis names planted faults. Arguments: the file, then
// sessions a rig, fault and size, the first seed, and sessions of whole scans a rig and fault.
#include <cstdlib>
#include <fstream>
#include <iostream>

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
  Statistics statistics;
  std::uint64_t first = seed;
  for (const std::string& rig : trial_rigs()) {
    const TrialRig trial(rig);
    statistics.add_rig(trial, sessions, first);
    if (whole > 0) statistics.add_whole(trial, whole, first + 5'000'000);
    first += 10'000'000;
    std::cerr << rig << " done\n";
  }
  std::ofstream out(argv[1]);
  out << statistics.markdown(sessions, seed);
  return out ? 0 : 73;
}
