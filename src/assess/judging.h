#pragma once

#include "assess/results.h"
#include "assess/scan_pass.h"

namespace rigproof {

/// The session pass: values of all scans against the limits, findings of the session, one verdict.
/// `results.scans` and `results.findings` already hold those of the scans.
void judge_session(Results& results, std::vector<ScanPass>& passes);

}  // namespace rigproof
