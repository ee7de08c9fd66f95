#pragma once

#include <optional>
#include <string>
#include <vector>

#include "assess/results.h"

namespace rigproof {

/// Values that differ by no more count as equal. mm
inline constexpr double kSameValue_mm = 1e-6;

/// One test value as it was sealed and as it was computed again. mm
struct ComparedValue {
  std::string characteristic, scan, artefact, feature;
  std::optional<double> before, after;  ///< nullopt: not there
  std::string verdict_before, verdict_after;
  double difference =
      0;  ///< largest of value, measured, reference, U and limit; infinite if absent
  bool same() const { return difference <= kSameValue_mm && verdict_before == verdict_after; }
};

struct Comparison {
  std::vector<ComparedValue> values;
  Verdict verdict_before = Verdict::invalid, verdict_after = Verdict::invalid;
  double largest_difference = 0;  ///< of values on both sides
  /// What else was sealed as it is not: facts that no version and no machine changes.
  std::vector<std::string> facts;
  /// The same of what another version may put in other words.
  std::vector<std::string> words;
  bool same() const;
};

/// `cut_outs`: computed again from parts of the scans, which say nothing of the set of files.
Comparison compare(const Results& before, const Results& after, bool cut_outs = false);

}  // namespace rigproof
