#pragma once

#include <optional>
#include <string>
#include <vector>

#include "evaluate/values.h"
#include "inputs/session.h"
#include "inputs/temperature_log.h"
#include "judge/finding.h"
#include "judge/joint.h"
#include "judge/session_verdict.h"

// Gates of the session: what inputs and the set of values tell becomes findings.

namespace rigproof {

/// calibration-by-words, lens-lock-unknown, limits-after-scans, clock-odd. `calibration_is_file`:
/// the session's calibration names an existing file or folder. `first_scan`: day of the test;
/// without one clock-odd says what could not be checked.
std::vector<Finding> identity_findings(const Session& session,
                                       bool calibration_is_file,
                                       const std::optional<Date>& first_scan);

/// artefact-overdue, artefact-weak, artefact-uncertified, coated, size-unsuited, balls-alike.
std::vector<Finding> artefact_findings(const Artefact& artefact,
                                       const Limits& limits,
                                       const Procedure& procedure,
                                       const Volume* volume,
                                       const std::optional<Date>& test_date);

/// size-unsuited: artefact against the volume's space diagonal.
std::optional<Finding> size_finding(const Artefact& artefact,
                                    const Volume& volume,
                                    const SizeDemand& demand = {});

/// temperature-missing, temperature-room, temperature-corrected, not-soaked, for the longest listed
/// distance of the artefacts (none: nothing to say). The limit is that of sphere_spacing.
std::vector<Finding> environment_findings(const Environment& environment,
                                          const std::vector<Artefact>& artefacts,
                                          const Limits& limits);
/// temperature-jump: the log moves by more than 1 K/h.
std::optional<Finding> temperature_jump(const std::vector<TemperatureReading>& log);
/// wrong-support of every artefact whose certificate and session name different supports.
std::vector<Finding> support_findings(const Environment& environment,
                                      const std::vector<Artefact>& artefacts);
/// same-person: who tested also authorises.
std::optional<Finding> same_person(const std::string& tested, const std::string& authorised);

/// What an earlier evaluation of the same session noted.
struct EarlierRun {
  std::string rule, calibration_sha256;  ///< "" not noted
  std::size_t scans = 0;
  std::string where;  ///< "out/results.json"
};
/// rule-after-scans and calibration-changed against an earlier evaluation.
std::vector<Finding> changed_since(const EarlierRun& earlier,
                                   DecisionRule rule,
                                   const std::string& calibration_sha256);

/// uncertainty-ignored: U of a value above a third of its limit, under the rule that leaves it out.
std::optional<Finding> uncertainty_ignored(const std::vector<LimitedValue>& values,
                                           DecisionRule rule);

/// limit-missing of every evaluated characteristic without a limit, and position-missing of every
/// kind that lacks positions.
std::vector<Finding> limit_findings(const std::vector<std::string>& evaluated,
                                    const Limits& limits);
std::vector<Finding> position_findings(const std::vector<KindProgress>& progress,
                                       double minutes_per_scan);

/// is-mesh, once a session: warn, or a note where the rig declares export = "mesh".
std::optional<Finding> mesh_finding(std::size_t files, std::uint64_t vertices, const Rig& rig);

/// warm-up: the closing repeat moved by |Δ| with |Δ| − 2 u_fit(Δ) > share · T, u_fit(Δ) the root
/// sum of squares of both.
std::optional<Finding> warm_up_finding(const TestValue& first,
                                       const TestValue& last,
                                       double limit,
                                       double share);

}  // namespace rigproof
