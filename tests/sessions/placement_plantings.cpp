#include <algorithm>
#include <cmath>
#include <numbers>

#include <Eigen/Geometry>

#include "sessions/magnitudes.h"
#include "sessions/planting.h"
#include "sessions/spoil.h"

namespace rigproof::planted {

using enum Severity;

namespace {

using Change = std::function<std::optional<Vec3>(const Vec3&)>;

// Leaves out a share of the points of one feature.
Change without(const TrueFeature& feature, double share) {
  return [feature, share, n = 0.0](const Vec3& p) mutable -> std::optional<Vec3> {
    if (!on(feature, p, 3)) return p;
    n += share;
    if (n < 1) return p;
    n -= 1;
    return std::nullopt;
  };
}

const TrueFeature& feature(const Truth& t, std::size_t scan, std::size_t k = 0) {
  return t.scans.at(scan).features.at(k);
}

// Bars whose balls differ by so many times the predicted repeatability of their difference.
void tell_balls_apart(Scenario& s, double times) {
  Scenario plain = s;
  plain.faults.clear();
  double u = 0;
  for (const CharacteristicResult& c : assessed({}, plain).characteristics)
    if (c.id == "probing_size")
      for (const JudgedValue& v : c.values) u = std::max(u, std::sqrt(2.0) * v.value.u_fit);
  for (Artefact& a : s.artefacts)
    if (a.balls.size() == 2) a.balls[1].diameter.mm = a.balls[0].diameter.mm + times * u;
}

// Narrows the volume until the cap of 60° that reaches out furthest stands out by so much. mm
void let_out(Session& s, const Truth& truth, double by) {
  const auto cameras = s.rig.stereo->camera_centers();
  double reach = 0;
  for (const TrueScan& scan : truth.scans)
    for (const TrueFeature& f : scan.features) {
      if (f.kind != "sphere") continue;
      Vec3 axis = Vec3::Zero();
      for (const Vec3& camera : cameras) axis += (camera - f.expected_center).normalized();
      axis.normalize();
      const Vec3 u = axis.unitOrthogonal(), v = axis.cross(u);
      for (int deg = 0; deg < 360; deg += 5) {
        const double phi = deg * std::numbers::pi / 180;
        const Vec3 rim = 0.5 * axis + std::sqrt(0.75) * (std::cos(phi) * u + std::sin(phi) * v);
        reach = std::max(reach, std::abs((f.expected_center + f.expected_radius * rim).x()));
      }
    }
  for (Field& f : s.rig.fields) f.volume.near_width = f.volume.far_width = 2 * (reach - by);
}

Artefact twin_of_the_long_bar(const Session& s) {
  Artefact twin;
  for (const Artefact& a : s.artefacts)
    if (a.kind == ArtefactKind::bar &&
        (twin.distances.empty() || a.distances[0].length.mm > twin.distances[0].length.mm))
      twin = a;
  twin.serial += "-twin";
  twin.name.clear();
  twin.distances[0].length.mm += 0.5;
  return twin;
}

}  // namespace

std::vector<Planting> placement_plantings() {
  return {
      {.finding = "short-cap",
       .fault = "short-cap",
       .detect_at = "40°",
       .detect = [](const Scenario&) { return "short-cap=40"; }},
      {.finding = "short-cap",
       .severity = stop,
       .fault = "short-cap=24",
       .beside = {"position-missing", "too-few-points"}},
      {.finding = "holder-cut", .severity = note, .fault = "holder"},
      {.finding = "wrong-artefact",
       .severity = stop,
       .fault = "wrong-artefact",
       .beside = {"position-missing"},
       .detect_at = "0.2 mm",
       .detect = [](const Scenario&) { return "wrong-artefact"; }},
      {.finding = "artefact-overdue", .fault = "overdue"},
      {.finding = "artefact-overdue",
       .severity = stop,
       .how = "the same, where the procedure makes it a stop",
       .fault = "overdue",
       .scenario = [](Scenario& s) { s.procedure.overdue_stops = true; }},
      {.finding = "balls-swapped",
       .severity = note,
       .how = "balls that differ by 4 u_fit",
       .fault = "swapped",
       .scenario = [](Scenario& s) { tell_balls_apart(s, 4); },
       .beside = {"balls-alike"},
       .detect_at = "4 u_fit",
       .detect = [](const Scenario&) { return "swapped"; }},
      {.finding = "outside-volume",
       .fault = "outside-volume",
       .beside = {"position-missing"},
       .with = {"position-missing"},
       .detect_at = "1 mm",
       .detect_by_hand = [](Session& s, const Truth& t) { let_out(s, t, 1); }},
      {.finding = "not-soaked",
       .severity = stop,
       .fault = "not-soaked",
       .beside = {"*"},
       .detect_at = "0.5 T",
       .detect = [](const Scenario& s) { return of_growth(0.5, s); }},
      {.finding = "not-soaked",
       .how = "soaked for a quarter of an hour",
       .session = [](Session& s, const Truth&) { s.environment.soaked_h = 0.25; }},
      {.finding = "position-missing", .severity = note, .fault = "missing"},
      {.finding = "one-ball",
       .severity = stop,
       .how = "one ball of a bar is not in the scan",
       .session = [](Session& s,
                     const Truth& t) { change_points(s, 1, without(feature(t, 1, 1), 1)); },
       .beside = {"position-missing"}},
      {.finding = "too-few-points",
       .severity = stop,
       .how = "four fifths of the points of the single ball are gone",
       .session =
           [](Session& s, const Truth& t) {
             change_points(s, first_ball(t), without(feature(t, first_ball(t)), 0.8));
           },
       .beside = {"*"}},
      {.finding = "strip-plate",
       .how = "half of the plate is in the scan",
       .session =
           [](Session& s, const Truth& t) {
             const TrueFeature& f = feature(t, first_plate(t));
             change_points(s, first_plate(t), [f](const Vec3& p) -> std::optional<Vec3> {
               if (std::abs((p - f.expected_center).dot(f.normal)) < 3 &&
                   p.y() > f.expected_center.y() - 8)
                 return std::nullopt;
               return p;
             });
           },
       .beside = {"*"}},
      {.finding = "giant-sphere",
       .severity = stop,
       .how = "the single ball is a wall of 400 mm radius",
       .session =
           [](Session& s, const Truth& t) {
             const TrueFeature& f = feature(t, first_ball(t));
             change_points(s, first_ball(t), [f](const Vec3& p) -> std::optional<Vec3> {
               if ((p - f.expected_center).norm() < 3 * f.expected_radius) return std::nullopt;
               return p;
             });
             add_cap(s, first_ball(t), {f.expected_center + Vec3(0, 0, 400), 400}, 100);
           },
       .beside = {"position-missing"}},
      {.finding = "ambiguous",
       .severity = stop,
       .how = "a second bar half a millimetre longer is registered",
       .session = [](Session& s, const Truth&) { s.artefacts.push_back(twin_of_the_long_bar(s)); },
       .beside = {"position-missing", "direction-missing"}},
      {.finding = "nothing-found",
       .severity = stop,
       .how = "both balls of a bar are not in the scan",
       .session =
           [](Session& s, const Truth& t) {
             change_points(s, 1, without(feature(t, 1, 0), 1));
             change_points(s, 1, without(feature(t, 1, 1), 1));
           },
       .beside = {"position-missing"}},
      {.finding = "fit-uncertain",
       .severity = stop,
       .how = "a limit of the spacing below three times its repeatability",
       .scenario = [](Scenario& s) { s.limits.by_characteristic["sphere_spacing"] = {0.002, 0}; },
       .beside = {"*"}},
      {.finding = "fit-uncertain",
       .how = "the same, with a form that is outside beyond doubt",
       .scenario =
           [](Scenario& s) {
             s.limits.by_characteristic["sphere_spacing"] = {0.002, 0};
             s.limits.by_characteristic["probing_form"] = {0.004, 0};
           },
       .beside = {"*"}},
      {.finding = "zone-unsettled",
       .how = "a procedure that lets zones settle for one round only",
       .session = [](Session& s, const Truth&) { s.procedure.zones.max_rounds = 1; }},
      {.finding = "clustered",
       .how = "the rig was set up for a field three times as wide",
       .session =
           [](Session& s, const Truth&) {
             for (Field& f : s.rig.fields)
               for (double* w : {&f.volume.near_width, &f.volume.far_width}) *w *= 3;
           },
       .beside = {"*"}},
      {.finding = "direction-missing",
       .how = "every bar lies across the view",
       .scenario =
           [](Scenario& s) {
             for (PlannedPosition& p : s.procedure.positions) {
               if (p.kind != ArtefactKind::bar || !p.direction) continue;
               auto& along = *p.direction;
               if (along[0] == 0 && along[1] == 0) along[0] = 1;
               along[2] = 0;
             }
           }},
      {.finding = "place-relabelled",
       .severity = note,
       .how = "one scan was named at the wrong height",
       .session =
           [](Session& s, const Truth&) {
             std::erase_if(s.overrides,
                           [](const auto& o) { return o.file == "scans/scan-03.ply"; });
             s.overrides.push_back({"scans/scan-03.ply", "", "far-bottom-centre", {}, "", ""});
           }},
  };
}

}  // namespace rigproof::planted
