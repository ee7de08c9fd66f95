#pragma once

#include <vector>

#include "judge/finding.h"

// The parts of the one findings table. Texts have three parts: what · why it matters · what to do.
// Lengths in the values carry their unit; {scan} is a file relative to the session.

namespace rigproof {

/// What is settled before a point is measured: identity, artefact, environment.
std::vector<FindingKind> findings_before();
/// What scans show: file, coverage, evidence of processing, optics, placement.
std::vector<FindingKind> findings_of_scans();
/// What the verdict rests on: limits, rule, repeats, seal.
std::vector<FindingKind> findings_of_the_decision();

}  // namespace rigproof
