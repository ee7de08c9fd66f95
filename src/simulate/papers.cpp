#include "simulate/papers.h"

#include <cmath>

#include "base/number.h"
#include "simulate/noise_field.h"

namespace rigproof {
namespace {

constexpr double kSameZone = 0.05;  // normalised distance from a zone's border

// The rig's own noise as its program would have noted it from a good session on this grid.
NoiseReference noise_reference(const Scenario& s, int step) {
  const NoiseField field(Chance(0), s.noise.area_px2, s.noise.white_share);
  NoiseReference n;
  n.sd_mm = middle_noise(s);
  n.area_px = field.area_in_points(step);
  n.pitch_px = step;
  for (int i = 1; i <= 8; ++i) n.lags.push_back(field.correlation(i * step));
  // Variance of e₋₁ − 2e₀ + e₁ is (6 − 8ρ₁ + 2ρ₂) σ², of white noise 6σ².
  n.second_difference_ratio = std::sqrt((6 - 8 * n.lags[0] + 2 * n.lags[1]) / 6);
  n.from = "virtual rig";
  return n;
}

void change_papers(Session& session, const FaultPlan& plan) {
  using namespace std::chrono;
  for (Artefact& a : session.artefacts) {
    if (plan.has("overdue")) {
      a.date = 2024y / December / 31;
      a.due = 2025y / December / 31;
    }
    if (plan.has("swapped") && a.balls.size() == 2)
      std::swap(a.balls[0].diameter, a.balls[1].diameter);
  }
}

}  // namespace

std::string clear_zone(const SessionSetup& s, const Vec3& center) {
  const Vec3 n = s.volume().normalized(center);
  for (int i = 0; i < 3; ++i)
    if (std::abs(std::abs(n[i]) - 1.0 / 3) < kSameZone) return "";
  return zone_id(s.volume(), center);
}

Session make_session(const SessionSetup& s, const std::filesystem::path& folder) {
  using namespace std::chrono;
  const Scenario& c = s.scenario;
  Session out;
  out.folder = folder;
  out.id = c.id;
  out.kind = c.kind;
  out.field_name = c.field;
  out.calibration = "calibration/";
  out.operator_name = "virtual rig";
  out.date = std::chrono::year(2026) / 3 / 14;
  out.environment.artefact_C = c.artefact_C;
  out.environment.u_artefact_C = c.u_artefact_C;
  out.environment.artefact_C_end = c.artefact_C + s.plan.value("not-soaked");
  out.environment.measured_on = "artefact";
  out.environment.soaked_h = 2;
  out.rig = c.rig;
  out.rig.simulated = out.simulated = true;
  out.rig.lens_locked = true;
  if (c.noise.on) out.rig.noise = noise_reference(c, s.sensor.step);
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

}  // namespace rigproof
