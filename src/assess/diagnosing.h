#pragma once

#include "assess/results.h"
#include "assess/scan_pass.h"

namespace rigproof {

/// Where and why: zones and diagnosis of a judged session, from its used scans. Reads values and
/// findings, changes neither.
void diagnose_session(Results& results, const std::vector<ScanPass>& passes);

}  // namespace rigproof
