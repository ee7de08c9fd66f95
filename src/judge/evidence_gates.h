#pragma once

#include <functional>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "evaluate/test_value.h"
#include "evidence/evidence.h"
#include "inputs/session.h"
#include "judge/finding.h"

// Gates of what the points themselves tell. Facts come from evidence/; here they meet the rig's
// reference, the limits and each other.

namespace rigproof {

/// Of one scan, without limits or other scans: two-shells, hole, duplicate-points,
/// outliers-above-allowance, holder-cut.
std::vector<Finding> evidence_findings(const ScanEvidence& scan, const Procedure& procedure);

/// What the scans of a session are compared with.
struct SessionEvidence {
  std::vector<const ScanEvidence*> scans;  ///< in the order in which they were taken
  const Rig* rig = nullptr;
  const Field* field = nullptr;  ///< nullptr: the volume is unknown
  const Limits* limits = nullptr;
  /// Whether two scans are one measurement; a session that grows remembers what it compared.
  std::function<SameBy(const Fingerprint&, const Fingerprint&)> same = same_measurement;
};

/// vibration, a scan each; noise-uneven, smoothed, too-perfect.
std::vector<Finding> noise_findings(const SessionEvidence& session);
/// coarse-coordinates, thinned, tails-cut; ripple, a scan each.
std::vector<Finding> processing_findings(const SessionEvidence& session);
/// same-measurement of every pair.
std::vector<Finding> same_measurement_findings(const SessionEvidence& session);
/// artefact-bump of every ball: the same place of it in three scans or more. A note where the
/// artefact did not turn with respect to the rig, so that both may be its cause.
std::vector<Finding> bump_findings(const SessionEvidence& session);

/// surface-bias: diameters off alike by more than three times the uncertainty of their mean, a
/// tenth of the limit, and twice what the lengths are off. `values` of scans that count.
std::optional<Finding> surface_bias_finding(const std::vector<const TestValue*>& values,
                                            const Limits& limits);

}  // namespace rigproof
