#include "simulate/simulate.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/atomic_file.h"
#include "base/error.h"
#include "base/input_file.h"
#include "base/number.h"
#include "simulate/expect.h"
#include "simulate/fault_plan.h"
#include "simulate/noise_field.h"
#include "simulate/positions.h"
#include "simulate/processing.h"
#include "simulate/surroundings.h"

namespace rigproof {
namespace {

constexpr double kUm = 1e-3;              // mm
constexpr double kWrongBy = 0.8;          // mm, of the other bar
constexpr double kSaturatedDeg = 7;       // half-angle of the spot
constexpr double kUnfocused = 8;          // relative growth of noise at the far end
constexpr double kSameZone = 0.05;        // normalised distance from a zone's border
constexpr double kDuplicateTurn = 0.004;  // rad

constexpr double kSpare = 1.25;  // scans may hold so much more than was asked for

enum Stream : std::uint64_t { arrangement = 1, temperature = 2, bodies = 100, scans = 1000 };

// Everything that the scans of one session share.
struct Setup {
  const Scenario& scenario;
  Chance chance;
  StereoRig rig;
  std::vector<ArtefactBody> bodies;
  std::vector<Placement> placements;
  FaultPlan plan;
  Sensor sensor;
  double true_C = 20;  // at the first scan

  const Volume& volume() const { return scenario.field_of_view().volume; }
  const ArtefactBody& body(const std::string& serial) const {
    return *std::ranges::find(
        bodies, serial, [](const ArtefactBody& b) { return b.certificate.serial; });
  }
  double progress(std::size_t scan) const {
    return placements.size() > 1
               ? static_cast<double>(scan) / static_cast<double>(placements.size() - 1)
               : 0;
  }
  double celsius(std::size_t scan) const {
    return true_C + plan.value("not-soaked") * progress(scan);
  }
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
void push_outside(Setup& s) {
  const int scan = s.plan.scan("outside-volume");
  if (scan < 0) return;
  Placement& p = s.placements[scan];
  const double step = 0.01 * s.volume().diagonal();
  const double side = p.pose.translation.x() < 0 ? -1 : 1;
  while (reaches_out(s.body(p.artefact), p.pose, s.volume()) < 0.03 * s.volume().diagonal())
    p.pose.translation.x() += side * step;
}

Sensor make_sensor(const Setup& s) {
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

Setup prepare(const Scenario& scenario) {
  Setup s{scenario,
          Chance(scenario.seed),
          make_stereo_rig(stereo_geometry(scenario)),
          {},
          {},
          {},
          {},
          0};
  for (std::size_t i = 0; i < scenario.artefacts.size(); ++i)
    s.bodies.push_back(
        make_body(scenario.artefacts[i], s.chance.stream(bodies + i), scenario.ideal_artefacts));
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
        other_bar(meant.certificate), s.chance.stream(bodies + 99), scenario.ideal_artefacts));
  }
  push_outside(s);
  s.sensor = make_sensor(s);
  const double u = scenario.ideal_artefacts ? 0 : scenario.u_artefact_C;
  s.true_C =
      scenario.artefact_C + std::clamp(s.chance.stream(temperature).normal(0), -1.7, 1.7) * u;
  return s;
}

// What stands on the table in one scan.
const ArtefactBody& standing(const Setup& s, std::size_t scan) {
  const ArtefactBody& meant = s.body(s.placements[scan].artefact);
  if (s.plan.scan("wrong-artefact") != static_cast<int>(scan)) return meant;
  return s.body(meant.certificate.serial + "-other");
}

Vec3 cap_axis(const Setup& s, const Vec3& center) {
  return ((s.rig.cameras[0].center() - center).normalized() +
          (s.rig.cameras[1].center() - center).normalized())
      .normalized();
}

VirtualScene make_scene(const Setup& s, std::size_t scan) {
  VirtualScene scene;
  place(standing(s, scan), s.placements[scan].pose, s.celsius(scan), scene);
  if (s.plan.scan("holder") == static_cast<int>(scan) && !scene.balls.empty())
    add_holder(scene.balls[0].sphere, cap_axis(s, scene.balls[0].sphere.center), scene);
  if (s.scenario.clutter) add_surroundings(s.volume(), scene);
  return scene;
}

// The baseline shrinks under the belief while the rig warms up, so that lengths grow.
Sensor sensor_at(const Setup& s, std::size_t scan) {
  Sensor sensor = s.sensor;
  const double grown = s.plan.value("warm-up") * kUm * s.progress(scan);
  if (grown == 0) return sensor;
  double length = 0;
  for (const ArtefactBody& b : s.bodies) length = std::max(length, bar_length(b));
  const double scale = length > 0 ? 1 - grown / length : 1;
  for (Camera& c : sensor.truth.cameras) c.to_sensor.translation *= scale;
  sensor.truth.projector_mm *= scale;
  sensor.calibrated = false;
  return sensor;
}

ScanCondition condition_at(const Setup& s, std::size_t scan) {
  ScanCondition c;
  const int i = static_cast<int>(scan);
  if (s.plan.scan("vibration") == i) {
    const double noise = middle_noise(s.scenario);
    c.noise_factor = std::hypot(1, s.plan.value("vibration") * kUm / noise);
  }
  c.inward_mm = s.plan.value("translucent") * kUm;
  if (s.plan.scan("two-shells") == i) c.second_shell_mm = s.plan.value("two-shells") * kUm;
  if (s.plan.scan("short-cap") == i) c.cap_deg = s.plan.value("short-cap");
  return c;
}

int step_for(const Setup& s) {
  if (s.scenario.step > 0) return s.scenario.step;
  double share = 0;
  for (std::size_t i = 0; i < s.placements.size(); ++i)
    share += covered_share(make_scene(s, i), s.sensor);
  const auto [width, height] = s.rig.cameras[0].image_px;
  const double pixels = share / static_cast<double>(s.placements.size()) * width * height;
  const double step = std::ceil(std::sqrt(pixels / (kSpare * s.scenario.points)));
  return std::clamp(static_cast<int>(step), 1, 64);
}

double allowance_of(const Procedure& p, const char* characteristic) {
  const auto at = p.characteristics.find(characteristic);
  return at == p.characteristics.end() ? 0 : at->second.allowance;
}

// Truth and expectation of one scan.
class ScanTruth {
 public:
  ScanTruth(const Setup& s, std::size_t scan, const MeasuredScan& measured, std::string file)
      : s_(s), body_(standing(s, scan)), pose_(s.placements[scan].pose), measured_(measured) {
    celsius_ = s.celsius(scan);
    truth_.file = std::move(file);
    truth_.artefact = body_.certificate.serial;
    truth_.place = s.placements[scan].place;
    if (body_.certificate.kind == ArtefactKind::plate)
      plate();
    else
      balls();
  }

  const TrueScan& truth() const { return truth_; }
  const std::vector<TrueValue>& values() const { return values_; }
  const std::vector<MeasuredShape>& shapes() const { return shapes_; }

 private:
  const Procedure& procedure() const { return s_.scenario.procedure; }
  bool wanted(const char* id) const { return procedure().characteristics.contains(id); }

  // As the evaluation corrects: by the stated mean temperature and the certified expansion.
  double reference(double mm) const {
    const Artefact& a = body_.certificate;
    const double C = s_.scenario.artefact_C + 0.5 * s_.plan.value("not-soaked");
    return mm * (1 + a.alpha_per_K * (C - a.reference_C));
  }

  void add(const char* id,
           double truth,
           double expected,
           const std::string& ball = {},
           const std::string& from = {},
           const std::string& to = {}) {
    if (wanted(id)) values_.push_back({truth_.file, ball, from, to, id, truth, expected});
  }

  void balls() {
    const double g = body_.growth(celsius_);
    const std::array<Vec3, 2> cameras = s_.scenario.rig.stereo->camera_centers();
    for (std::size_t i = 0; i < body_.centers.size(); ++i) {
      const ArtefactBall& listed = body_.certificate.balls[i];
      const Sphere real{pose_ * (g * body_.centers[i]), g * body_.radii[i]};
      const ExpectedBall e = expect_ball(measured_,
                                         static_cast<int>(i),
                                         real,
                                         cameras,
                                         procedure().zones,
                                         allowance_of(procedure(), "probing_form"));
      TrueFeature f{
          "sphere", listed.id, real.center, e.ok ? e.sphere.center : real.center, real.radius};
      f.expected_radius = e.ok ? e.sphere.radius : real.radius;
      f.form = e.true_form;
      f.expected_form = e.form;
      truth_.features.push_back(f);
      shapes_.push_back({true, {f.expected_center, f.expected_radius}, {}});
      if (!e.ok) continue;
      const double certified = reference(listed.diameter.mm);
      for (const char* id : {"probing_size", "size_all"})
        add(id, 2 * real.radius - certified, 2 * f.expected_radius - certified, listed.id);
      add("probing_form", f.form, f.expected_form, listed.id);
    }
    for (const ArtefactDistance& d : body_.certificate.distances) distance(d);
  }

  void distance(const ArtefactDistance& d) {
    const auto feature = [&](const std::string& id) {
      return *std::ranges::find(truth_.features, id, &TrueFeature::ball);
    };
    const TrueFeature a = feature(d.from), b = feature(d.to);
    const double certified = reference(d.length.mm);
    for (const char* id : {"sphere_spacing", "center_distance"})
      add(id,
          (a.center - b.center).norm() - certified,
          (a.expected_center - b.expected_center).norm() - certified,
          "",
          d.from,
          d.to);
  }

  void plate() {
    const Artefact& a = body_.certificate;
    const ExpectedPlate e = expect_plate(measured_,
                                         0,
                                         pose_,
                                         a.length_mm / 2 - a.border_mm,
                                         a.width_mm / 2 - a.border_mm,
                                         s_.volume(),
                                         allowance_of(procedure(), "flatness"));
    TrueFeature f{"plane", "", pose_.translation, e.ok ? e.plane.point : pose_.translation, 0};
    f.normal = -pose_.rotation.col(2);
    f.form = e.true_flatness;
    f.expected_form = e.flatness;
    truth_.features.push_back(f);
    shapes_.push_back({false, {}, e.ok ? e.plane : Plane{pose_.translation, f.normal}});
    if (e.ok) add("flatness", f.form, f.expected_form);
  }

  const Setup& s_;
  const ArtefactBody& body_;
  const RigidTransform& pose_;
  const MeasuredScan& measured_;
  double celsius_ = 20;
  TrueScan truth_;
  std::vector<TrueValue> values_;
  std::vector<MeasuredShape> shapes_;
};

// The rig's own noise as its program would have noted it from a good session on this grid.
NoiseReference noise_reference(const Scenario& s, int step) {
  const NoiseField field(Chance(0), s.noise.area_px2, s.noise.white_share);
  NoiseReference n;
  n.sd_mm = middle_noise(s);
  n.area_px = field.area_in_points(step);
  for (int i = 1; i <= 8; ++i) n.lags.push_back(field.correlation(i * step));
  // Variance of e₋₁ − 2e₀ + e₁ is (6 − 8ρ₁ + 2ρ₂) σ², of white noise 6σ².
  n.second_difference_ratio = std::sqrt((6 - 8 * n.lags[0] + 2 * n.lags[1]) / 6);
  n.from = "virtual rig";
  return n;
}

std::string two_digits(std::size_t i) { return (i < 10 ? "0" : "") + std::to_string(i); }

// The zone of a scan, where it is not so near to a border that noise could move it.
std::string clear_zone(const Setup& s, const Vec3& center) {
  const Vec3 n = s.volume().normalized(center);
  for (int i = 0; i < 3; ++i)
    if (std::abs(std::abs(n[i]) - 1.0 / 3) < kSameZone) return "";
  return zone_id(s.volume(), center);
}

void change_papers(Session& session, const FaultPlan& plan) {
  using namespace std::chrono;
  for (Artefact& a : session.artefacts) {
    if (plan.has("overdue")) a.due = 2025y / December / 31;
    if (plan.has("swapped") && a.balls.size() == 2)
      std::swap(a.balls[0].diameter, a.balls[1].diameter);
  }
}

Session make_session(const Setup& s, const std::filesystem::path& folder, int step) {
  using namespace std::chrono;
  const Scenario& c = s.scenario;
  Session out;
  out.folder = folder;
  out.id = c.id;
  out.kind = c.kind;
  out.field_name = c.field;
  out.calibration = "calibration/";
  out.operator_name = "virtual rig";
  out.date = 2026y / March / 14;
  out.environment.artefact_C = c.artefact_C;
  out.environment.u_artefact_C = c.u_artefact_C;
  out.environment.artefact_C_end = c.artefact_C + s.plan.value("not-soaked");
  out.environment.measured_on = "artefact";
  out.environment.soaked_h = 2;
  out.rig = c.rig;
  out.rig.simulated = out.simulated = true;
  out.rig.lens_locked = true;
  if (c.noise.on) out.rig.noise = noise_reference(c, step);
  out.limits = c.limits;
  out.limits_given = c.limits_given;
  out.procedure = c.procedure;
  for (const ArtefactBody& b : s.bodies) out.artefacts.push_back(b.certificate);
  change_papers(out, s.plan);
  return out;
}

std::string calibration_text(const StereoRig& rig) {
  std::string out = "calibration of a virtual rig, as it believes to be\n";
  for (const Camera& c : rig.cameras) {
    out += "focal_px " + exact(c.focal_px) + " principal_px " + exact(c.principal_px.x()) + " " +
           exact(c.principal_px.y()) + " center_mm";
    for (int i = 0; i < 3; ++i) out += " " + exact(c.center()[i]);
    out += " rotation";
    for (int i = 0; i < 9; ++i) out += " " + exact(c.to_sensor.rotation(i / 3, i % 3));
    out += "\n";
  }
  return out;
}

// A measurement that is handed in a second time: turned and shifted a little.
MeasuredScan moved(MeasuredScan scan) {
  RigidTransform by;
  by.rotation = rotation_z(kDuplicateTurn);
  by.translation = {2.1, -1.3, 1.7};
  for (MeasuredPoint& p : scan.points) p.point = by * p.point;
  for (MeasuredDetail& d : scan.details)
    for (Vec3* v : {&d.clean, &d.high, &d.low, &d.truth}) *v = by * *v;
  return scan;
}

void make_folder(const std::filesystem::path& folder) {
  std::error_code ec;
  if (std::filesystem::exists(folder, ec) && !std::filesystem::is_empty(folder, ec))
    throw Error(ErrorKind::cannot_create,
                display(folder) + ": the folder is not empty",
                "Name another one with --out.");
  for (const char* sub : {"scans", "calibration", "artefacts"}) {
    std::filesystem::create_directories(folder / sub, ec);
    if (ec)
      throw Error(ErrorKind::cannot_create,
                  display(folder / sub) + ": " + ec.message(),
                  "Choose a place that can be written to.");
  }
}

}  // namespace

SimulatedSession simulate(const Scenario& scenario,
                          const std::filesystem::path& folder,
                          int threads,
                          const std::function<void(std::size_t, std::size_t)>& progress) {
  scenario.check();
  Setup setup = prepare(scenario);
  make_folder(folder);
  SimulatedSession out;
  out.step = setup.sensor.step = step_for(setup);
  out.session = make_session(setup, folder, out.step);
  out.truth.faults = setup.plan.all;
  write_atomically(folder / "calibration" / "cameras.txt",
                   calibration_text(setup.sensor.belief.rig));

  MeasuredScan before;
  for (std::size_t i = 0; i < setup.placements.size(); ++i) {
    const int index = static_cast<int>(i);
    if (progress) progress(i, setup.placements.size());
    if (setup.plan.scan("missing") == index) continue;
    const Chance chance = setup.chance.stream(scans + i);
    const bool again = setup.plan.scan("duplicate") == index && i > 0;
    const std::size_t shown = again ? i - 1 : i;
    const MeasuredScan measured = again ? moved(std::move(before))
                                        : measure(make_scene(setup, i),
                                                  sensor_at(setup, i),
                                                  condition_at(setup, i),
                                                  chance,
                                                  threads);
    const std::string file = "scans/scan-" + two_digits(i + 1) + ".ply";
    const ScanTruth truth(setup, shown, measured, file);
    export_scan(
        measured, truth.shapes(), scenario, setup.plan, index, chance.stream(99), folder / file);
    out.truth.scans.push_back(truth.truth());
    out.truth.values.insert(out.truth.values.end(), truth.values().begin(), truth.values().end());
    out.session.scans.push_back(folder / file);
    const Placement& p = setup.placements[i];
    ScanOverride words{file, p.artefact, clear_zone(setup, p.pose.translation), {}, ""};
    if (setup.plan.scan("wrong-artefact") < 0) words.artefact.clear();
    if (!words.artefact.empty() || !words.place.empty()) out.session.overrides.push_back(words);
    before = measured;
  }
  save_session(out.session);
  write_atomically(folder / "truth.json", to_json(out.truth));
  if (progress) progress(setup.placements.size(), setup.placements.size());
  return out;
}

}  // namespace rigproof
