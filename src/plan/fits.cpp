#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "judge/session_gates.h"
#include "plan/plan.h"
#include "plan/predict.h"

namespace rigproof {
namespace {

constexpr double kCertain = 4.2;  // standard uncertainties, familywise (method, section 9)
constexpr double kFullLean = 45;  // degrees; a bar that leans more tests depth as well as width
constexpr double kShort = 0.3;    // of the space diagonal

// Smallest relative error of depth that one position would show at the largest lean.
double depth_ppm(const ArtefactShape& shape,
                 double lean_deg,
                 const PlacingRules& rules,
                 const ExpectedNoise& noise) {
  const double sine = std::sin(lean_deg * std::numbers::pi / 180);
  const Vec3 direction(std::sqrt(1 - sine * sine), 0, sine);
  const Spot spot{
      &shape, pose_at(ArtefactKind::bar, rules.volume.middle(), direction), direction, Role::depth};
  const ExpectedScan scan = expected_scan(spot, "", rules, noise);
  double variance = 0;
  for (const ObservedBall* b : {&scan.balls.front(), &scan.balls.back()})
    variance += direction.dot(b->covariance.topLeftCorner<3, 3>() * direction);
  return 1e6 * kCertain * std::sqrt(variance) / (shape.size_mm() * sine * sine);
}

std::string bar_words(const ArtefactShape& shape,
                      double lean,
                      const PlacingRules& rules,
                      const ExpectedNoise& noise) {
  if (lean < 3) return "lengths across the view; says nothing of the depth scale";
  const double ppm = depth_ppm(shape, lean, rules, noise);
  std::string words = ppm > 20'000
                          ? "lengths across the view; next to nothing of the depth scale"
                          : fmt::format("lengths across the view, depth scale to {:.0f} ppm", ppm);
  if (lean < kFullLean) {
    const double depth = rules.volume.far_mm - rules.volume.near_mm;
    const double fits = (depth - 2 * rules.clearance_mm - shape.radii.front()) /
                        std::sin(kFullLean * std::numbers::pi / 180);
    const double least = kShort * rules.volume.diagonal();
    if (fits > least)
      words += fmt::format("; a bar of {:.0f}–{:.0f} mm would test depth fully", least, fits);
  }
  return words;
}

}  // namespace

ArtefactFit fit_of(const Artefact& artefact,
                   const Rig& rig,
                   const Field& field,
                   const Procedure& procedure) {
  const ArtefactShape shape = shape_of(artefact);
  const PlacingRules rules = placing_rules(rig, field, procedure);
  ArtefactFit fit;
  fit.artefact = artefact.name.empty() ? artefact.serial : artefact.name;
  fit.kind = artefact.kind;
  fit.size_mm = shape.size_mm();
  fit.lean_deg = largest_lean_deg(shape, rules);
  const double share = fit.size_mm / field.volume.diagonal();
  const SizeDemand demand;
  const bool too_short =
      (fit.kind == ArtefactKind::bar && share < demand.bar_least) ||
      (fit.kind == ArtefactKind::plate &&
       (share < demand.plate_least || artefact.width_mm < demand.plate_width_mm));
  const bool too_small = fit.kind == ArtefactKind::ball && share < demand.ball_least;
  const bool too_large = fit.kind == ArtefactKind::ball && share > demand.ball_most;
  if (!fit.lean_deg)
    fit.verdict = fit.kind == ArtefactKind::ball ? "too large" : "too long";
  else if (too_large)
    fit.verdict = "too large";
  else
    fit.verdict = too_short ? "too short" : too_small ? "too small" : "fits";
  fit.usable = fit.verdict == "fits";
  if (!fit.lean_deg) return fit;
  switch (fit.kind) {
    case ArtefactKind::bar:
      fit.tests = bar_words(shape, *fit.lean_deg, rules, expected_noise(rig, field));
      break;
    case ArtefactKind::plate:
      fit.tests = "flatness, lens distortion and twist";
      break;
    case ArtefactKind::ball:
      fit.tests = "probing error and size";
      break;
  }
  return fit;
}

}  // namespace rigproof
