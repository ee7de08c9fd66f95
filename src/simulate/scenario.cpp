#include "simulate/scenario.h"

#include <cmath>

#include "base/error.h"

namespace rigproof {
namespace {

void demand(bool ok, const std::string& what, const std::string& range) {
  if (!ok) throw Error(ErrorKind::config, "scenario: " + what, "Allowed: " + range);
}

bool share(double x) { return x >= 0 && x <= 1; }

// The nearest of the sizes that artefacts are made in, in tenths of the decade.
double round_size(double mm) {
  static const double kSizes[] = {1, 1.2, 1.5, 2, 2.5, 3, 3.5, 4, 5, 6, 8, 10};
  const double decade = std::pow(10, std::floor(std::log10(mm)));
  double best = kSizes[0];
  for (const double s : kSizes)
    if (std::abs(std::log(mm / decade / s)) < std::abs(std::log(mm / decade / best))) best = s;
  return best * decade;
}

ArtefactBall ball(const std::string& id, double mm) { return {id, {mm, 0.0008}, 0.0004}; }

Artefact certified(ArtefactKind kind, const std::string& serial, const std::string& number) {
  using namespace std::chrono;
  Artefact a;
  a.kind = kind;
  a.serial = serial;
  a.material = "steel";
  a.certificate = number;
  a.laboratory = "Example calibration laboratory";
  a.date = 2026y / January / 31;
  a.due = 2027y / January / 31;
  return a;
}

std::string whole(double mm) { return std::to_string(std::lround(mm)); }

// Two balls that differ by more than a rig can confuse and less than matters: which is which shows.
Artefact bar(double length, double diameter, const std::string& mark, const std::string& number) {
  Artefact a = certified(ArtefactKind::bar, "bar-" + whole(length) + "-" + mark, number);
  a.balls = {ball("A", diameter * 1.002 + 0.0012), ball("B", diameter * 0.998 + 0.0007)};
  a.distances = {{"A", "B", {length + 0.0123, 0.0006 + length / 500'000}}};
  return a;
}

}  // namespace

void Scenario::check() const {
  demand(points >= 1000 && points <= 5e7, "points per scan", "1000 to 50 million");
  demand(step >= 0 && step <= 64, "step between pixels", "0 (from points) to 64");
  demand(noise.disparity_px >= 0 && noise.disparity_px <= 2, "disparity noise", "0 to 2 px");
  demand(noise.area_px2 >= 1 && noise.area_px2 <= 400, "correlation area", "1 to 400 px²");
  demand(share(noise.white_share) && noise.white_share <= noise.area_px2,
         "white share of the noise",
         "0 to 1");
  demand(noise.incidence_power >= 0 && noise.incidence_power <= 4, "incidence power", "0 to 4");
  demand(noise.defocus >= 0 && noise.defocus <= 20, "defocus", "0 to 20");
  demand(share(blemishes.dropouts) && share(blemishes.outliers) &&
             share(blemishes.flying + blemishes.lost_at_edge),
         "shares of spoiled points",
         "0 to 1");
  demand(blemishes.saturation_deg >= 0 && blemishes.saturation_deg <= 45,
         "saturated spot",
         "0 to 45°");
  demand(!artefacts.empty(), "no artefact", "at least one");
  demand(u_artefact_C >= 0 && artefact_C > -50 && artefact_C < 100, "temperature", "-50 to 100 °C");
}

void Scenario::make_ideal() {
  noise.on = false;
  blemishes = Blemishes::none();
  ideal_artefacts = true;
  doubles = true;
}

StereoGeometry stereo_geometry(const Scenario& s) {
  if (!s.rig.stereo)
    throw Error(ErrorKind::config,
                "rig " + s.rig.id + " has no [stereo] geometry, so nothing can be seen through it",
                "Add baseline_mm, focal_px, image_px and aim_mm under [stereo] in the rig's file.");
  const Stereo& from = *s.rig.stereo;
  StereoGeometry g;
  g.baseline_mm = from.baseline_mm;
  g.focal_px = from.focal_px;
  g.image_px = from.image_px;
  g.aim_mm = from.aim_mm;
  g.toe_in_deg = from.toe_in_deg;
  g.distortion = s.distortion;
  g.projector_mm = {0, -0.1 * from.baseline_mm, 0};
  g.board_alpha_per_K = from.board_alpha_per_K;
  const Volume& v = s.field_of_view().volume;
  g.corner_radius =
      std::hypot(0.25 * (v.near_width + v.far_width), 0.25 * (v.near_height + v.far_height)) /
      v.middle().z();
  return g;
}

std::vector<Artefact> suitable_artefacts(const Volume& volume) {
  const double diagonal = volume.diagonal();
  const double on_bar = round_size(0.09 * diagonal), alone = round_size(0.11 * diagonal);
  const double length = round_size(0.64 * diagonal);
  const double lean = std::max(round_size(0.3 * diagonal), std::ceil(0.302 * diagonal));
  Artefact single = certified(ArtefactKind::ball, "ball-" + whole(alone) + "-03", "K-1180");
  single.balls = {ball("A", alone + 0.0009)};
  Artefact plate = certified(ArtefactKind::plate, "", "K-1183");
  plate.length_mm = std::max(round_size(0.54 * diagonal), std::ceil(0.502 * diagonal));
  plate.width_mm = round_size(0.36 * diagonal);
  plate.serial = "plate-" + whole(plate.length_mm) + "-02";
  plate.flatness = {0.001 + plate.length_mm / 150'000, 0.0006};
  return {single, bar(length, on_bar, "07", "K-1182"), bar(lean, on_bar, "05", "K-1181"), plate};
}

Scenario demo_scenario(const std::string& rig,
                       const std::string& procedure,
                       const std::vector<Fault>& faults,
                       std::uint64_t seed,
                       double points) {
  Scenario s;
  s.rig = load_rig(find_input("rigs", rig.empty() ? "R12" : rig));
  s.field = s.rig.fields.front().name;
  s.procedure =
      load_procedure(find_input("procedures", procedure.empty() ? "half-hour" : procedure));
  s.seed = seed;
  s.points = points;
  s.faults = faults;
  s.artefacts = suitable_artefacts(s.field_of_view().volume);
  s.id = "2026-03-14-" + s.rig.id + "-" + s.field + "-demo";
  try {
    s.limits = load_limits(find_input("limits", s.rig.id + "-agreed"));
    s.limits_given = true;
  } catch (const Error& e) {
    if (e.kind() != ErrorKind::missing) throw;
  }
  return s;
}

}  // namespace rigproof
