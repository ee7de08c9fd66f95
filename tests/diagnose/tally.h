#pragma once

#include <map>
#include <string>
#include <vector>

#include "diagnose/trial.h"

namespace rigproof {

/// What came of the sessions with one fault of one size.
struct Tally {
  int sessions = 0, in_set = 0, first = 0, coefficients = 0, within_3u = 0;
  double set_sizes = 0, squares = 0;

  void add(const Trial& trial);
  void add(const Tally& other);
  double mean_set() const { return sessions > 0 ? set_sizes / sessions : 0; }
  /// Root mean square of (coefficient − planted)/u.
  double standardised() const;
};

/// What the statistics must show.
struct StatisticsDemand {
  std::string what, measured, wanted;
  bool met = false;
};

/// Sessions of the virtual rigs with one fault each, with none, and with two.
struct Statistics {
  std::map<std::string, std::map<double, Tally>> by_fault;      ///< fault → multiple
  std::map<std::string, std::map<std::string, int>> confusion;  ///< planted → first named
  std::map<std::string, std::map<std::string, double>> limits;  ///< rig → fault → magnitude
  std::map<std::string, std::string> units;                     ///< of a fault
  std::map<std::string, std::vector<std::string>> left_out;     ///< rig → gap above a pixel
  int clean = 0, clean_named = 0, pairs = 0, pairs_named = 0;
  int pairs_imitated = 0;  ///< by one other fault; not tried
  Tally whole;             ///< of sessions of whole scans
  int whole_clean = 0, whole_clean_named = 0;

  void add_rig(const TrialRig& rig, int sessions, std::uint64_t seed);
  /// Every fault `sessions` times at three times its limit, and five times as many clean ones.
  void add_whole(const TrialRig& rig, int sessions, std::uint64_t seed);
  void add(const Statistics& other);
  std::vector<StatisticsDemand> demands() const;
  std::string markdown(int sessions, std::uint64_t seed) const;

 private:
  void add_faults(const TrialRig& rig, int sessions, std::uint64_t seed);
  void add_clean(const TrialRig& rig, int sessions, std::uint64_t seed);
  void add_pairs(const TrialRig& rig, int sessions, std::uint64_t seed);
};

}  // namespace rigproof
