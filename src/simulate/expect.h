#pragma once

#include <vector>

#include "inputs/procedure.h"
#include "simulate/artefact_body.h"
#include "simulate/sensor.h"

namespace rigproof {

/// What an evaluation without errors of its own would get from a scan: the zone of the procedure
/// about the fit, ordinary least squares, the allowance. Written apart from the evaluation, so that
/// a mistake there cannot cancel.
struct ExpectedBall {
  bool ok = false;
  Sphere sphere;         ///< of the noise-free points, with the second-order bias of the noise
  double form = 0;       ///< of the measured surface, with the range that noise adds
  double true_form = 0;  ///< of the real surface in the same zone
  std::size_t points = 0;
};
/// `cameras`: where the cap's axis is taken to, as the evaluation takes it.
ExpectedBall expect_ball(const MeasuredScan& scan,
                         int feature,
                         const Sphere& near,
                         const std::array<Vec3, 2>& cameras,
                         const ZoneRules& zones,
                         double allowance_share);

struct ExpectedPlate {
  bool ok = false;
  Plane plane;
  double flatness = 0, true_flatness = 0;
  std::size_t points = 0;
};
/// Points of the plate's face inside its working area and inside `volume`.
ExpectedPlate expect_plate(const MeasuredScan& scan,
                           int feature,
                           const RigidTransform& pose,
                           const Artefact& plate,
                           const Volume& volume,
                           double allowance_share);

/// Expected range of n residuals d_i plus independent normal noise σ_i once the k = `left_out` −
/// `astray` of largest |residual| are gone (`astray` points lie beyond any other): t(k + c) for the
/// largest that is left and t(k + 2c) for the largest of the other side, with Σ P(|d_i + σ_i N| >
/// t(m)) = m and c = e^−γ. Without noise the range itself.
double expected_range(const std::vector<double>& residuals,
                      const std::vector<double>& sigmas,
                      std::size_t left_out,
                      std::size_t astray);

}  // namespace rigproof
