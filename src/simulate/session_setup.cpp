#include "simulate/session_setup.h"

#include <algorithm>
#include <cmath>

#include "base/error.h"
#include "simulate/positions.h"
#include "simulate/surroundings.h"

namespace rigproof {
namespace {

constexpr double kUm = 1e-3;         // mm
constexpr double kWrongBy = 0.8;     // mm, of the other bar
constexpr double kSaturatedDeg = 7;  // half-angle of the spot
constexpr double kUnfocused = 8;     // relative growth of noise at the far end
constexpr double kSpare = 1.25;      // scans may hold so much more than was asked for
constexpr double kThinnedPitches = 3.5;

enum Stream : std::uint64_t {
  arrangement = 1,
  temperature = 2,
  bodies_from = 100,
  scans_from = 1000
};

double bar_length(const ArtefactBody& b) {
  double longest = 0;
  for (const ArtefactDistance& d : b.certificate.distances)
    longest = std::max(longest, d.length.mm);
  return longest;
}

// Another bar on the shelf, much like the one that is meant.
Artefact other_bar(const Artefact& meant) {
  Artefact other = meant;
  other.serial = meant.serial + "-other";
  other.certificate += "-2";
  for (ArtefactDistance& d : other.distances) d.length.mm += kWrongBy;
  return other;
}

std::vector<Placement> wanted_placements(const Scenario& s) {
  std::vector<Placement> out;
  for (const WantedScan& w : s.scans) {
    const auto a = std::ranges::find(s.artefacts, w.artefact, &Artefact::serial);
    out.push_back({"",
                   w.artefact,
                   pose_at(a->kind, w.center, w.direction),
                   zone_id(s.field_of_view().volume, w.center)});
  }
  return out;
}

// A bar that leaves the volume sideways.
void push_outside(SessionSetup& s) {
  const int scan = s.plan.scan("outside-volume");
  if (scan < 0) return;
  Placement& p = s.placements[scan];
  const double step = 0.01 * s.volume().diagonal();
  const double side = p.pose.translation.x() < 0 ? -1 : 1;
  while (reaches_out(s.body(p.artefact), p.pose, s.volume()) < 0.03 * s.volume().diagonal())
    p.pose.translation.x() += side * step;
}

Sensor make_sensor(const SessionSetup& s) {
  const Scenario& c = s.scenario;
  Sensor out;
  out.truth = s.rig;
  out.belief = believe(s.rig, s.plan.calibration, &s.volume());
  out.calibrated = s.plan.calibration.empty();
  out.matching = c.matching;
  out.noise = c.noise;
  out.blemishes = c.blemishes;
  out.near_mm = s.volume().near_mm;
  out.far_mm = s.volume().far_mm;
  if (s.plan.has("focus")) {
    out.noise.focus_mm = s.volume().near_mm;
    out.noise.defocus = kUnfocused / 4;
  }
  if (s.plan.has("saturated")) out.blemishes.saturation_deg = kSaturatedDeg;
  if (s.plan.has("outliers")) out.blemishes.outliers = s.plan.value("outliers");
  return out;
}

Vec3 cap_axis(const StereoRig& rig, const Vec3& center) {
  return ((rig.cameras[0].center() - center).normalized() +
          (rig.cameras[1].center() - center).normalized())
      .normalized();
}

int step_for(const SessionSetup& s) {
  if (s.scenario.step > 0) return s.scenario.step;
  double share = 0;
  for (std::size_t i = 0; i < s.placements.size(); ++i)
    share += covered_share(s.scene(i), s.sensor);
  const auto [width, height] = s.rig.cameras[0].image_px;
  const double pixels = share / static_cast<double>(s.placements.size()) * width * height;
  const double step = std::ceil(std::sqrt(pixels / (kSpare * s.scenario.points)));
  return std::clamp(static_cast<int>(step), 1, 64);
}

// Without a distance of its own, points are thinned to several times their pitch across the view.
void settle_thinning(SessionSetup& s) {
  const double pitch =
      s.sensor.step * s.volume().middle().z() / stereo_geometry(s.scenario).focal_px;
  for (TrueFault& fault : s.plan.all)
    if (fault.name == "thinned" && fault.value == 0) fault.value = kThinnedPitches * pitch;
}

}  // namespace

const ArtefactBody& SessionSetup::body(const std::string& serial) const {
  return *std::ranges::find(
      bodies, serial, [](const ArtefactBody& b) { return b.certificate.serial; });
}

double SessionSetup::progress(std::size_t scan) const {
  if (placements.size() < 2) return 0;
  return static_cast<double>(scan) / static_cast<double>(placements.size() - 1);
}

Chance SessionSetup::chance_of(std::size_t scan) const { return chance.stream(scans_from + scan); }

// What stands on the table in one scan.
const ArtefactBody& SessionSetup::standing(std::size_t scan) const {
  const ArtefactBody& meant = body(placements[scan].artefact);
  if (plan.scan("wrong-artefact") != static_cast<int>(scan)) return meant;
  return body(meant.certificate.serial + "-other");
}

VirtualScene SessionSetup::scene(std::size_t scan) const {
  VirtualScene out;
  place(standing(scan), placements[scan].pose, celsius(scan), out);
  if (plan.scan("holder") == static_cast<int>(scan) && !out.balls.empty())
    add_holder(out.balls[0].sphere, cap_axis(rig, out.balls[0].sphere.center), out);
  if (scenario.clutter) add_surroundings(volume(), out);
  return out;
}

// The baseline shrinks under the belief while the rig warms up, so that lengths grow: by the stated
// amount the bar of the last scan, the closing repeat, else the longest.
Sensor SessionSetup::sensor_at(std::size_t scan) const {
  Sensor out = sensor;
  const double grown = plan.value("warm-up") * kUm * progress(scan);
  if (grown == 0) return out;
  double length = bar_length(body(placements.back().artefact));
  if (length == 0)
    for (const ArtefactBody& b : bodies) length = std::max(length, bar_length(b));
  const double scale = length > 0 ? 1 - grown / length : 1;
  for (Camera& c : out.truth.cameras) c.to_sensor.translation *= scale;
  out.truth.projector_mm *= scale;
  out.calibrated = false;
  return out;
}

ScanCondition SessionSetup::condition(std::size_t scan) const {
  ScanCondition c;
  const int i = static_cast<int>(scan);
  if (plan.scan("vibration") == i) {
    const double noise = middle_noise(scenario);
    c.noise_factor = std::hypot(1, plan.value("vibration") * kUm / noise);
  }
  c.inward_mm = plan.value("translucent") * kUm;
  if (plan.scan("two-shells") == i) c.second_shell_mm = plan.value("two-shells") * kUm;
  if (plan.scan("short-cap") == i) c.cap_deg = plan.value("short-cap");
  return c;
}

SessionSetup prepare(const Scenario& scenario) {
  SessionSetup s{scenario,
                 Chance(scenario.seed),
                 make_stereo_rig(stereo_geometry(scenario)),
                 {},
                 {},
                 {},
                 {},
                 0};
  for (std::size_t i = 0; i < scenario.artefacts.size(); ++i)
    s.bodies.push_back(make_body(
        scenario.artefacts[i], s.chance.stream(bodies_from + i), scenario.ideal_artefacts));
  std::ranges::stable_sort(s.bodies, std::greater{}, bar_length);
  if (scenario.scans.empty()) {
    const auto plan = scenario.procedure.positions.empty()
                          ? usual_positions(scenario.procedure.demand)
                          : scenario.procedure.positions;
    s.placements = arrange(plan, s.bodies, s.volume(), s.rig, s.chance.stream(arrangement));
  } else {
    s.placements = wanted_placements(scenario);
  }
  if (s.placements.empty())
    throw Error(ErrorKind::config,
                "no artefact of the scenario fits into field " + scenario.field + " of rig " +
                    scenario.rig.id,
                "Give artefacts that suit the field, or places for them under [[scan]].");
  s.plan = plan_faults(scenario, s.placements);
  if (const int scan = s.plan.scan("wrong-artefact"); scan >= 0) {
    const ArtefactBody& meant = s.body(s.placements[scan].artefact);
    s.bodies.push_back(make_body(
        other_bar(meant.certificate), s.chance.stream(bodies_from + 99), scenario.ideal_artefacts));
  }
  push_outside(s);
  s.sensor = make_sensor(s);
  const double u = scenario.ideal_artefacts ? 0 : scenario.u_artefact_C;
  s.true_C =
      scenario.artefact_C + std::clamp(s.chance.stream(temperature).normal(0), -1.7, 1.7) * u;
  s.sensor.step = step_for(s);
  settle_thinning(s);
  return s;
}

}  // namespace rigproof
