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
  bool same() const;
};

Comparison compare(const Results& before, const Results& after);

}  // namespace rigproof
