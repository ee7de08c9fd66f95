#pragma once

#include <vector>

#include "assess/results.h"
#include "assess/scan_pass.h"

namespace rigproof {

/// The retest rule, where the procedure has one. A scan with a stop is superseded by a later one
/// that counts at its place: the same artefact within `tolerance`, or, where it shows none, the
/// same words for its place (a zone is no place). A value outside its limit is superseded when the
/// session names the physical reason (`retest = "…"` of its [[scan]]) and as many later scans at
/// its place as the procedure asks for, or more, all meet every limit. What is superseded stays on
/// the record and is not judged. Returns a `retest` a scan.
std::vector<Finding> apply_retest_rule(const Session& session,
                                       std::vector<ScanPass>& passes,
                                       const SamePlace& tolerance);

}  // namespace rigproof
