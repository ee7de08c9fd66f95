#pragma once

#include <map>
#include <string>
#include <vector>

#include "plan/selection.h"

namespace rigproof {

struct Arrangement {
  std::vector<Spot> scans;  ///< in order; the closing repeat last
  bool closing = false;     ///< the first is (to be) measured again at the end
};

/// Chooses where the artefacts of one session stand.
class Planner {
 public:
  /// `shapes` outlive the planner and what it chooses.
  Planner(const Session& session, const std::vector<ArtefactShape>& shapes, double pitch_px);

  struct Choice {
    Arrangement arrangement;                       ///< slot by slot, without the closing repeat
    std::vector<std::vector<std::string>> groups;  ///< the one that is seen worst first
    std::map<std::string, double> least;  ///< by id + zone: standard deviation with every spot, mm
  };
  /// Of the longest plate and ball, and of as many bars as are worth their change.
  Choice choose() const;

  const PlacingRules& rules() const { return rules_; }
  const ExpectedNoise& noise() const { return noise_; }
  /// What the same slots would be by the filed textbook arrangement.
  const Arrangement& textbook() const { return textbook_; }

 private:
  SpotPool spots() const;
  Arrangement textbook_arrangement() const;

  const Session& session_;
  const std::vector<ArtefactShape>& shapes_;
  PlacingRules rules_;
  ExpectedNoise noise_;
  std::vector<Slot> slots_;
  bool closing_;
  Arrangement textbook_;
};

}  // namespace rigproof
