#pragma once

#include "assess/results.h"
#include "assess/scan_pass.h"
#include "judge/evidence_gates.h"

namespace rigproof {

/// What a session that is judged again at every scan can spare.
struct JudgingOptions {
  bool joint = true;  ///< the probability that all values are within: a Monte Carlo run
  decltype(SessionEvidence::same) same = same_measurement;
};

/// The session pass: values of all scans against the limits, findings of the session, one verdict.
/// `results.scans` and `results.findings` already hold those of the scans.
void judge_session(Results& results,
                   std::vector<ScanPass>& passes,
                   const JudgingOptions& options = {});

}  // namespace rigproof
