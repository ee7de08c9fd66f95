#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/number.h"
#include "sessions/magnitudes.h"
#include "sessions/planting.h"
#include "sessions/spoil.h"

namespace rigproof::planted {

using enum Severity;

namespace {

constexpr double kDeg = std::numbers::pi / 180;

// The closing repeat stops from T/4 + 2 u_fit of the change on; a change that must be found lies
// three standard deviations beyond.
std::string warm_up_to_find(const Scenario& s) {
  const Results clean = assessed({}, s);
  const double T = s.limits.by_characteristic.at("sphere_spacing").at(0);
  double u = 0;
  for (const CharacteristicResult& c : clean.characteristics)
    if (c.id == "sphere_spacing")
      u = std::hypot(c.values.front().value.u_fit, c.values.back().value.u_fit);
  return "warm-up=" + exact(1000 * std::max(0.5 * T, 0.25 * T + 5 * u));
}

// A bump of 9° half-angle fixed to ball A of every bar: towards the sensor and along the bar.
void put_bump(Session& session, const Truth& truth, double height) {
  for (std::size_t i = 0; i < truth.scans.size(); ++i) {
    const auto& features = truth.scans[i].features;
    if (features.size() != 2) continue;
    const Vec3 center = features[0].expected_center;
    const Vec3 along = (features[1].expected_center - center).normalized();
    const Vec3 back = -center.normalized();
    const Vec3 up = (back - back.dot(along) * along).normalized();
    const Vec3 spot = (std::cos(70 * kDeg) * along + std::sin(70 * kDeg) * up).normalized();
    change_points(session, i, [&](const Vec3& p) -> std::optional<Vec3> {
      const Vec3 d = (p - center).normalized();
      return on(features[0], p) && d.dot(spot) > std::cos(9 * kDeg) ? Vec3(p + height * d) : p;
    });
  }
}

// A hole of this width in every ball of the first bar, where the first camera sees the projector.
void put_hole(Session& session, const Truth& truth, double width_deg) {
  const std::size_t at = first_bar(truth);
  const auto cameras = session.rig.stereo->camera_centers();
  const Vec3 projector = 0.5 * (cameras[0] + cameras[1]);
  for (const TrueFeature& ball : truth.scans.at(at).features) {
    const Vec3 center = ball.expected_center;
    const Vec3 spot =
        ((cameras[0] - center).normalized() + (projector - center).normalized()).normalized();
    change_points(session, at, [&](const Vec3& p) -> std::optional<Vec3> {
      const bool gone = (p - center).normalized().dot(spot) > std::cos(0.5 * width_deg * kDeg);
      return gone && on(ball, p) ? std::nullopt : std::optional(p);
    });
  }
}

// Sixteen waves along the plate; `height` from valley to peak.
void put_ripple(Session& session, const Truth& truth, double height) {
  const std::size_t at = first_plate(truth);
  const TrueFeature& face = truth.scans.at(at).features.front();
  const double period =
      std::ranges::find(session.artefacts, ArtefactKind::plate, &Artefact::kind)->length_mm / 16;
  change_points(session, at, [&](const Vec3& p) -> std::optional<Vec3> {
    if (std::abs((p - face.expected_center).dot(face.normal)) > 2) return p;
    return p + 0.5 * height * std::sin(2 * std::numbers::pi * p.x() / period) * face.normal;
  });
}

}  // namespace

std::vector<Planting> condition_plantings() {
  return {
      {.finding = "warm-up",
       .severity = stop,
       .fault = "warm-up",
       .beside = {"one-scan-drives"},
       .detect_at = "half the limit of the spacing, at least T/4 + 5 u_fit of the change",
       .detect = warm_up_to_find},
      {.finding = "vibration",
       .fault = "vibration",
       .beside = {"outliers-above-allowance", "one-scan-drives"},
       .detect_at = "2 times the noise",
       .detect = [](const Scenario& s) { return of_noise("vibration", std::sqrt(3.0), s); }},
      {.finding = "hole",
       .fault = "saturated",
       .detect_at = "8°, at 300,000 points",
       .detect_by_hand = [](Session& s, const Truth& t) { put_hole(s, t, 8); },
       .detect_points = 300'000},
      {.finding = "surface-bias",
       .fault = "translucent",
       .detect_at = "4 u of the mean, at least 0.25 T",
       .detect =
           [](const Scenario& s) { return of_limit("translucent", 0.25, "probing_size", s); }},
      {.finding = "two-shells",
       .severity = stop,
       .fault = "two-shells",
       .beside = {"position-missing"},
       .detect_at = "5 standard deviations apart, of the noise at the far end",
       .detect =
           [](const Scenario& s) {
             const Volume& v = s.field_of_view().volume;
             const double farther = v.far_mm / v.middle().z();
             return of_noise("two-shells", 5 * farther * farther, s);
           }},
      {.finding = "outliers-above-allowance",
       .fault = "outliers",
       .detect_at = "2 times the share, at 300,000 points",
       .detect = [](const Scenario&) { return "outliers=0.006"; },
       .detect_points = 300'000},
      {.finding = "noise-uneven",
       .fault = "focus",
       .base = Base::full,
       .detect_at = "2 times",
       .detect = [](const Scenario&) { return "focus"; }},
      {.finding = "artefact-bump",
       .how = "a bump of four times the noise, fixed to one ball of the bars",
       .base = Base::full,
       .session = [](Session& s, const Truth& t) { put_bump(s, t, 4 * s.rig.noise->sd_mm); },
       .beside = {"outliers-above-allowance"},
       .detect_at = "4 standard deviations",
       .detect_by_hand = [](Session& s,
                            const Truth& t) { put_bump(s, t, 4 * s.rig.noise->sd_mm); }},
      {.finding = "artefact-bump",
       .severity = note,
       .how = "the same, on a bar that always lies the same way",
       .scenario =
           [](Scenario& s) {
             s.procedure.positions.clear();
             s.procedure.demand = {0, 3, 0, false};
             const Volume& v = s.field_of_view().volume;
             for (const double height : {-0.4, 0.0, 0.4})
               s.scans.push_back({"bar-250-07", v.from_normalized({0, height, 0}), Vec3::UnitX()});
           },
       .session = [](Session& s, const Truth& t) { put_bump(s, t, 4 * s.rig.noise->sd_mm); },
       .beside = {"*"}},
      {.finding = "ripple",
       .how = "sixteen waves of 8 µm along one plate",
       .session = [](Session& s, const Truth& t) { put_ripple(s, t, 0.008); },
       .detect_at = "a tenth of the limit of flatness",
       .detect_by_hand =
           [](Session& s, const Truth& t) {
             put_ripple(s, t, 0.1 * s.limits.by_characteristic.at("flatness").at(0));
           }},
  };
}

}  // namespace rigproof::planted
