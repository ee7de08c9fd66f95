#pragma once

#include <string>
#include <vector>

#include "diagnose/diagnose.h"
#include "simulate/scenario.h"

namespace rigproof {

/// Rigs of the statistics: invented ones of fields of 100, 300 and 1200 mm.
const std::vector<std::string>& trial_rigs();

/// What nobody can tell apart by scans counts as one fault: board pitch, board temperature and
/// baseline; pitch and roll of a camera.
std::string fault_class(const std::string& id);

/// A virtual session of a sample rig with these faults.
Scenario trial_scenario(const std::string& rig,
                        const std::vector<Fault>& faults,
                        std::uint64_t seed,
                        const std::string& procedure = "single-view");

/// What the geometry of a rig's usual session decides beforehand.
struct TrialRig {
  std::string name, procedure;
  std::vector<Signature> signatures;
  SignatureGeometry geometry;
  std::vector<double> gap_px;  ///< between the rays, per unit of a fault, largest in the volume

  explicit TrialRig(const std::string& rig, const std::string& procedure = "single-view");
  int index(const std::string& id, const std::string& zone = "") const;
  double detection(int signature) const { return geometry.detection[signature]; }
};

struct Trial {
  Fault planted;
  Diagnosis diagnosis;
  bool in_set = false;      ///< the planted fault, or one of its class, is among the causes
  bool first = false;       ///< it, or a near-twin of cosine 0.95 and more, comes first
  int set_size = 0;         ///< classes named
  double standardised = 0;  ///< (coefficient − planted)/u, where its very id is in the set
  bool has_coefficient = false;
};
/// How far a session is simulated: to the observations that an evaluation would make, or to whole
/// scans of 40,000 points that are located, fitted and judged.
enum class Depth { observations, scans };
Trial run_trial(const TrialRig& rig,
                const Fault& fault,
                std::uint64_t seed,
                Depth depth = Depth::observations);
/// The diagnosis of one session with these faults, which may be none.
Diagnosis diagnose_trial(const TrialRig& rig,
                         const std::vector<Fault>& faults,
                         std::uint64_t seed,
                         Depth depth = Depth::observations);

}  // namespace rigproof
