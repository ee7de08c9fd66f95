#pragma once

#include <map>

#include "diagnose/diagnosis.h"
#include "diagnose/observation_model.h"
#include "diagnose/signature_fit.h"

namespace rigproof {

/// What a diagnosis reads. It changes nothing.
struct DiagnosisInput {
  const Rig* rig = nullptr;
  const Field* field = nullptr;  ///< nullptr: unknown; the box of what was seen stands for it
  Observations observations;
  std::vector<std::string> findings;          ///< ids raised by the session
  std::map<std::string, int> views_per_zone;  ///< where the board was shown, may be empty
};

/// Observations against signatures, whitened: everything but the values of this session.
struct DiagnosisModel {
  ObservationModel observations;
  std::optional<PicturedRig> rig;  ///< nullopt: generic field
  Volume volume;
  std::vector<Signature> signatures;
  Eigen::MatrixXd effects;  ///< mm per unit: a column a signature, then those of the variations
  Whitening whitening;
  SignatureDesign design;
  SignatureGeometry geometry;

  explicit DiagnosisModel(const DiagnosisInput& input);
};

/// Fewer than three observations beside plates, and no plate, give a diagnosis that did not run.
/// Where the best model leaves more than 1.5 of χ² per degree of freedom, every uncertainty is
/// widened by its root before faults are named.
Diagnosis diagnose(const DiagnosisInput& input);

/// Groups of fault ids that this session cannot tell apart even at five times their detection
/// limits, by the cosines of their signatures. Dents are left out.
std::vector<std::vector<std::string>> indistinguishable(const DiagnosisModel& model);

/// Largest change of a distance between two of 27 places spread over the volume. mm per unit
double worst_length_change(const Signature& signature, const Volume& volume);

}  // namespace rigproof
