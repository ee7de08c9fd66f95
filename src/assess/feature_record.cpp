#include "assess/feature_record.h"

namespace rigproof {
namespace {

constexpr std::size_t kPicturePoints = 2000;

/// Evenly spread in file order, deviations as evaluated.
std::vector<std::array<float, 4>> picture(const Points& zone,
                                          const std::vector<double>& residuals) {
  std::vector<std::array<float, 4>> out;
  const std::size_t n = std::min(zone.size(), residuals.size());
  const std::size_t kept = std::min(n, kPicturePoints);
  out.reserve(kept);
  for (std::size_t k = 0; k < kept; ++k) {
    const std::size_t i = k * n / kept;
    const Vec3 p = zone.at(i);
    out.push_back({static_cast<float>(p.x()),
                   static_cast<float>(p.y()),
                   static_cast<float>(p.z()),
                   static_cast<float>(residuals[i])});
  }
  return out;
}

FitRecord fit_record(const SphereFit& fit) {
  const ResidualStats& d = fit.residuals;
  return {
      fit.sphere.center, Vec3::Zero(), fit.sphere.radius, d.rms, d.min, d.max, d.n, fit.iterations};
}

FitRecord fit_record(const PlaneFit& fit) {
  const ResidualStats& d = fit.residuals;
  return {fit.plane.point, fit.plane.normal, 0, d.rms, d.min, d.max, d.n, 1};
}

}  // namespace

FeatureRecord record_of(const BallFeature& ball) {
  FeatureRecord r;
  r.sphere = true;
  r.center = ball.fit.sphere.center;
  r.radius = ball.fit.sphere.radius;
  r.form = ball.form;
  r.form_mz = ball.form_mz();
  r.points = ball.points;
  r.left_out = ball.left_out;
  r.strays = ball.strays;
  r.rms = ball.fit.residuals.rms;
  r.cap_half_angle_deg = ball.cap_half_angle_deg;
  r.cov = ball.covariance;
  r.noise_area = ball.noise.area;
  r.axis = ball.cap_axis;
  r.axis_from = to_string(ball.axis_from);
  r.seen_half_angle_deg = ball.seen_half_angle_deg;
  r.rounds = ball.rounds;
  r.settled = ball.settled;
  r.fit = fit_record(ball.fit);
  r.fit_all = fit_record(ball.fit_all);
  if (ball.fit_fixed.ok()) r.fit_fixed = fit_record(ball.fit_fixed);
  r.enclosures = ball.enclosures;
  if (ball.patches) {
    r.patches = ball.patches->means;
    r.fit_patches = fit_record(ball.patches->fit);
  }
  r.picture = picture(ball.zone, ball.residuals);
  return r;
}

FeatureRecord record_of(const PlateFeature& plate) {
  FeatureRecord r;
  r.sphere = false;
  r.center = plate.fit.plane.point;
  r.normal = plate.fit.plane.normal;
  r.form = plate.flatness;
  r.form_mz = plate.flatness_mz();
  r.points = plate.points;
  r.left_out = plate.left_out;
  r.strays = plate.strays;
  r.rms = plate.fit.residuals.rms;
  r.length_mm = plate.length_mm;
  r.width_mm = plate.width_mm;
  r.cov = plate.covariance;
  r.noise_area = plate.noise.area;
  r.area_mm2 = plate.area_mm2;
  r.middle = plate.center;
  r.axis_u = plate.axis_u;
  r.axis_v = plate.axis_v;
  r.enclosures = plate.enclosures;
  r.rounds = plate.rounds;
  r.settled = plate.settled;
  r.fit = fit_record(plate.fit);
  r.fit_all = fit_record(plate.fit_all);
  r.picture = picture(plate.zone, plate.residuals);
  return r;
}

void record_holder(FeatureRecord& record, const Holder& holder, bool found) {
  record.holder_deg = holder.half_angle_deg;
  record.holder_axis = Vec3(holder.axis.data()).normalized();
  record.holder_found = found;
}

}  // namespace rigproof
