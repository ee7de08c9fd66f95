#pragma once

#include <string>

namespace rigproof {

/// What a page of `explain` gives beside fits, and what was computed again from it.
struct ComputedEvidence {
  int shells = 0;   ///< zones of five points about a centre
  int planes = 0;   ///< zones of four points
  int shares = 0;   ///< shells and planes that hold a share of the points
  int patches = 0;  ///< spheres through patch means
};

/// Computes those again from the printed points alone, by closed forms and a fit of its own, and
/// fails where it comes out otherwise.
ComputedEvidence expect_evidence_computed_again(const std::string& page);

}  // namespace rigproof
