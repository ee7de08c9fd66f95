#include "assess/session_evidence.h"

#include <algorithm>

#include "judge/evidence_gates.h"

namespace rigproof {

std::vector<Finding> session_evidence(const Session& session,
                                      const std::vector<ScanPass>& passes,
                                      const JudgingOptions& options) {
  SessionEvidence evidence;
  evidence.rig = &session.rig;
  evidence.field = session.field();
  evidence.limits = &session.limits;
  evidence.same = options.same;
  for (const auto& pass : passes)
    if (pass.record.status != ScanStatus::withdrawn) evidence.scans.push_back(&pass.evidence);
  std::vector<Finding> out = same_measurement_findings(evidence);
  const auto add = [&](const std::vector<Finding>& more) {
    out.insert(out.end(), more.begin(), more.end());
  };
  add(noise_findings(evidence));
  // What is not measured has no marks of processing.
  if (std::ranges::find(out, "too-perfect", &Finding::id) != out.end()) return out;
  add(processing_findings(evidence));
  add(bump_findings(evidence));
  return out;
}

std::optional<Finding> surface_bias(const Session& session, const std::vector<ScanPass>& passes) {
  std::vector<const TestValue*> values;
  for (const auto& pass : passes)
    for (const auto& value : pass.values) values.push_back(&value);
  return surface_bias_finding(values, session.limits);
}

}  // namespace rigproof
