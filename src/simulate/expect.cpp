#include "simulate/expect.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "fit/fit.h"

namespace rigproof {
namespace {

constexpr std::size_t kRangeSample = 20000;  // points whose tails are summed
constexpr int kRangeRounds = 30;             // of bisection, to 1e-9 of the largest residual

// Points that are expected beyond the largest of many on average: e^−γ, by Gumbel's distribution.
constexpr double kOneExtreme = 0.5614594835668851;

using Details = std::vector<const MeasuredDetail*>;

Details details_of(const MeasuredScan& scan, int feature) {
  Details out;
  for (const MeasuredPoint& p : scan.points)
    if (p.feature == feature && p.detail >= 0) out.push_back(&scan.details[p.detail]);
  return out;
}

Points gather(const Details& details, const Vec3& origin, Vec3 MeasuredDetail::* which) {
  Points out;
  out.origin = origin;
  out.reserve(details.size());
  for (const MeasuredDetail* d : details) out.push(d->*which);
  return out;
}

Vec3 cap_axis(const Vec3& center, const std::array<Vec3, 2>& cameras) {
  return ((cameras[0] - center).normalized() + (cameras[1] - center).normalized()).normalized();
}

// Points of the zone about a sphere: within the gate and the cap.
Details in_zone(const Details& all, const Sphere& about, const Vec3& axis, const ZoneRules& zones) {
  const double gate = zones.ball_gate_share * about.radius;
  const double edge = std::cos(zones.cap_half_angle_deg * std::numbers::pi / 180);
  Details out;
  for (const MeasuredDetail* d : all) {
    const Vec3 w = d->clean - about.center;
    const double r = w.norm();
    if (std::abs(r - about.radius) <= gate && w.dot(axis) >= edge * r) out.push_back(d);
  }
  return out;
}

// What the allowance leaves, by its definition.
Points kept(const Points& points, const std::vector<double>& residuals, double share) {
  const std::vector<std::size_t> out =
      largest_residuals(residuals, allowance(share, points.size()));
  Points left;
  left.origin = points.origin;
  left.reserve(points.size());
  std::size_t next = 0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (next < out.size() && out[next] == i)
      ++next;
    else
      left.push_local(points.x[i], points.y[i], points.z[i]);
  }
  return left;
}

SphereFit kept_sphere(const Points& points, const Sphere& about, double share) {
  const SphereFit all = fit_sphere_from(points, about);
  return fit_sphere_from(kept(points, sphere_residuals(points, all.sphere), share), all.sphere);
}

PlaneFit kept_plane(const Points& points, double share) {
  const PlaneFit all = fit_plane(points, Vec3(Vec3::Zero()));
  return fit_plane(kept(points, plane_residuals(points, all.plane), share), Vec3(Vec3::Zero()));
}

// One side of a plate's working area: nominal or as far as it is seen, about the middle of what is
// seen, less the border; what is seen ends where the outermost thousandth of the points begins.
struct Side {
  double middle = 0, half = 0;
  bool holds(double x) const { return std::abs(x - middle) <= half; }
};

Side working_side(
    const Details& all, const Vec3& origin, const Vec3& axis, double nominal, double border) {
  std::vector<double> along;
  for (const MeasuredDetail* d : all) along.push_back((d->clean - origin).dot(axis));
  std::ranges::sort(along);
  const std::size_t k = along.size() / 1000;
  const double lo = along[k], hi = along[along.size() - 1 - k];
  return {0.5 * (lo + hi), std::min(nominal, hi - lo) / 2 - border};
}

double upper_tail(double x) { return 0.5 * std::erfc(x / std::numbers::sqrt2); }

struct Noise {
  std::vector<double> residuals, sigmas;
  std::size_t astray = 0;
};

bool silent(const Noise& noise) {
  return noise.astray == 0 && std::ranges::all_of(noise.sigmas, [](double s) { return s == 0; });
}

}  // namespace

double expected_range(const std::vector<double>& residuals,
                      const std::vector<double>& sigmas,
                      std::size_t left_out,
                      std::size_t astray) {
  const std::size_t n = residuals.size();
  const std::size_t stride = std::max<std::size_t>(1, n / kRangeSample);
  double top = 0;
  for (std::size_t i = 0; i < n; ++i) top = std::max(top, std::abs(residuals[i]) + 9 * sigmas[i]);
  const auto passed_by = [&](double count) {
    double lo = 0, hi = top;
    for (int round = 0; round < kRangeRounds; ++round) {
      const double t = 0.5 * (lo + hi);
      double beyond = 0;
      for (std::size_t i = 0; i < n; i += stride) {
        const double s = sigmas[i], d = std::abs(residuals[i]);
        if (s > 0)
          beyond += t - d < 7 * s ? upper_tail((t - d) / s) + upper_tail((t + d) / s) : 0;
        else
          beyond += d > t;
      }
      (beyond * static_cast<double>(stride) > count ? lo : hi) = t;
    }
    return 0.5 * (lo + hi);
  };
  const double gone = left_out > astray ? static_cast<double>(left_out - astray) : 0;
  return passed_by(gone + kOneExtreme) + passed_by(gone + 2 * kOneExtreme);
}

ExpectedBall expect_ball(const MeasuredScan& scan,
                         int feature,
                         const Sphere& near,
                         const std::array<Vec3, 2>& cameras,
                         const ZoneRules& zones,
                         double allowance_share) {
  ExpectedBall e;
  const Details all = details_of(scan, feature);
  Sphere about = near;
  Details zone;
  for (int round = 0; round < zones.max_rounds; ++round) {
    const Vec3 axis = cap_axis(about.center, cameras);
    Details found = in_zone(all, about, axis, zones);
    if (found == zone) break;
    zone.swap(found);
    if (zone.size() < 10) return e;
    const SphereFit fit =
        fit_sphere_from(gather(zone, about.center, &MeasuredDetail::clean), about);
    if (!fit.ok()) return e;
    about = fit.sphere;
  }
  e.points = zone.size();
  const Vec3 origin = about.center;
  // The normal equations over points at + and − one standard deviation are those of the noisy
  // points up to the fourth moment: their fit carries the bias of second order.
  Points both = gather(zone, origin, &MeasuredDetail::high);
  const Points low = gather(zone, origin, &MeasuredDetail::low);
  both.x.insert(both.x.end(), low.x.begin(), low.x.end());
  both.y.insert(both.y.end(), low.y.begin(), low.y.end());
  both.z.insert(both.z.end(), low.z.begin(), low.z.end());
  const SphereFit biased = fit_sphere_from(both, about);
  e.ok = biased.ok();
  e.sphere = biased.sphere;

  const Points clean = gather(zone, origin, &MeasuredDetail::clean);
  const Points real = gather(zone, origin, &MeasuredDetail::truth);
  e.true_form = kept_sphere(real, about, allowance_share).residuals.range();
  Noise noise{sphere_residuals(clean, about), {}, 0};
  for (const MeasuredDetail* d : zone) {
    noise.sigmas.push_back(0.5 * std::abs(about.deviation(d->high) - about.deviation(d->low)));
    noise.astray += d->outlier;
  }
  if (silent(noise)) {
    // Which points the allowance takes is then no matter of chance.
    const SphereFit left = kept_sphere(clean, about, allowance_share);
    e.sphere = left.sphere;
    e.form = left.residuals.range();
    return e;
  }
  e.form = expected_range(
      noise.residuals, noise.sigmas, allowance(allowance_share, zone.size()), noise.astray);
  return e;
}

ExpectedPlate expect_plate(const MeasuredScan& scan,
                           int feature,
                           const RigidTransform& pose,
                           const Artefact& plate,
                           const Volume& volume,
                           double allowance_share) {
  ExpectedPlate e;
  const Details all = details_of(scan, feature);
  if (all.size() < 10) return e;
  const Vec3 &u = pose.rotation.col(0), &v = pose.rotation.col(1);
  const Side along_u = working_side(all, pose.translation, u, plate.length_mm, plate.border_mm);
  const Side along_v = working_side(all, pose.translation, v, plate.width_mm, plate.border_mm);
  Details zone;
  for (const MeasuredDetail* d : all) {
    const Vec3 w = d->clean - pose.translation;
    if (along_u.holds(w.dot(u)) && along_v.holds(w.dot(v)) && volume.contains(d->clean))
      zone.push_back(d);
  }
  e.points = zone.size();
  if (zone.size() < 10) return e;
  const Points clean = gather(zone, pose.translation, &MeasuredDetail::clean);
  const Points real = gather(zone, pose.translation, &MeasuredDetail::truth);
  const PlaneFit fit = fit_plane(clean, Vec3(Vec3::Zero()));
  e.ok = fit.ok();
  e.plane = fit.plane;
  e.true_flatness = kept_plane(real, allowance_share).residuals.range();
  Noise noise{plane_residuals(clean, fit.plane), {}, 0};
  for (const MeasuredDetail* d : zone) {
    noise.sigmas.push_back(0.5 *
                           std::abs(fit.plane.deviation(d->high) - fit.plane.deviation(d->low)));
    noise.astray += d->outlier;
  }
  e.flatness = silent(noise) ? kept_plane(clean, allowance_share).residuals.range()
                             : expected_range(noise.residuals,
                                              noise.sigmas,
                                              allowance(allowance_share, zone.size()),
                                              noise.astray);
  return e;
}

}  // namespace rigproof
