#include "plan/scale_floor.h"

#include <cmath>
#include <limits>

#include <Eigen/Cholesky>

namespace rigproof {

// Of a scale every scan of an artefact shows the same share, so that one without scatter tells all.
double scale_floor(const std::vector<Artefact>& artefacts,
                   const ArtefactTemperature& temperature,
                   const PlacingRules& rules) {
  Observations once;
  once.temperature = temperature;
  once.artefacts = artefacts;
  for (Artefact& a : once.artefacts)
    for (ArtefactBall& ball : a.balls) ball.form_mm = 0;
  const ExpectedNoise none{.sd_mm = 0, .middle_mm = rules.volume.middle().z()};
  for (const Artefact& a : once.artefacts) {
    if (a.kind == ArtefactKind::plate) continue;
    const ArtefactShape shape = shape_of(a);
    const Spot spot{&shape, pose_at(a.kind, rules.volume.middle(), Vec3::UnitX())};
    const ExpectedScan scan = expected_scan(spot, a.serial, rules, none);
    once.balls.insert(once.balls.end(), scan.balls.begin(), scan.balls.end());
  }
  if (once.balls.empty()) return std::numeric_limits<double>::infinity();
  const ObservationModel model(once);
  const Eigen::VectorXd scale = model.effect([](const SurfacePoint& s) { return s.point; });
  return 1 / std::sqrt(scale.dot(model.covariance().ldlt().solve(scale)));
}

}  // namespace rigproof
