#pragma once

#include "assess/judging.h"

namespace rigproof {

/// Findings of what the points of all scans tell together, and of one measurement against another.
/// Withdrawn scans are left out.
std::vector<Finding> session_evidence(const Session& session,
                                      const std::vector<ScanPass>& passes,
                                      const JudgingOptions& options);

/// surface-bias, from the values of the scans that count.
std::optional<Finding> surface_bias(const Session& session, const std::vector<ScanPass>& passes);

}  // namespace rigproof
