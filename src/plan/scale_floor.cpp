#include "plan/scale_floor.h"

#include <cmath>
#include <limits>

#include <Eigen/Cholesky>

namespace rigproof {
namespace {

constexpr int kTimes =
    30;  // until coordinates' rounding, the one thing left of scatter, is nothing

}  // namespace

// Of a scale every scan of an artefact shows the same share, so that a few without scatter tell
// all.
double scale_floor(const std::vector<Artefact>& artefacts,
                   const ArtefactTemperature& temperature,
                   const PlacingRules& rules) {
  Observations all;
  all.temperature = temperature;
  all.artefacts = artefacts;
  for (Artefact& a : all.artefacts)
    for (ArtefactBall& ball : a.balls) ball.form_mm = 0;
  const ExpectedNoise none{.sd_mm = 0, .middle_mm = rules.volume.middle().z()};
  for (const Artefact& a : all.artefacts) {
    if (a.kind == ArtefactKind::plate) continue;
    const ArtefactShape shape = shape_of(a);
    const Spot spot{&shape, pose_at(a.kind, rules.volume.middle(), Vec3::UnitX())};
    for (int i = 0; i < kTimes; ++i) {
      const ExpectedScan scan = expected_scan(spot, a.serial + std::to_string(i), rules, none);
      all.balls.insert(all.balls.end(), scan.balls.begin(), scan.balls.end());
    }
  }
  if (all.balls.empty()) return std::numeric_limits<double>::infinity();
  const ObservationModel model(all);
  const Eigen::VectorXd scale = model.effect([](const SurfacePoint& s) { return s.point; });
  return 1 / std::sqrt(scale.dot(model.covariance().ldlt().solve(scale)));
}

}  // namespace rigproof
