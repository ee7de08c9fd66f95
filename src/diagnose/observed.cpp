#include "diagnose/observed.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Geometry>

namespace rigproof {
namespace {

constexpr double kAstray = 6;  // noise from the patch's mean, beyond which a point tells nothing

// Patch of every point of the zone.
std::vector<std::size_t> patches_of(const PlateFeature& f, const ObservedPlate& to) {
  const Vec3 center = f.center - f.zone.origin;
  const auto place = [](double share, int patches) {
    return static_cast<std::size_t>(
        std::clamp(static_cast<int>(std::floor((share + 0.5) * patches)), 0, patches - 1));
  };
  std::vector<std::size_t> out;
  out.reserve(f.zone.size());
  for (std::size_t i = 0; i < f.zone.size(); ++i) {
    const Vec3 d = f.zone.local(i) - center;
    out.push_back(place(d.dot(to.axis_v) / f.width_mm, kPatchesV) * kPatchesU +
                  place(d.dot(to.axis_u) / f.length_mm, kPatchesU));
  }
  return out;
}

// Means of the patches, of all points and then of those that are not astray.
void average(const PlateFeature& f, ObservedPlate& to) {
  const std::size_t patches = static_cast<std::size_t>(kPatchesU) * kPatchesV;
  to.means.assign(patches, 0);
  to.counts.assign(patches, 0);
  if (!(f.length_mm > 0 && f.width_mm > 0)) return;
  const std::vector<std::size_t> patch = patches_of(f, to);
  for (const double gate : {1e300, kAstray * to.noise_sd}) {
    std::vector<double> sums(to.means.size(), 0);
    std::vector<std::size_t> counts(to.means.size(), 0);
    for (std::size_t i = 0; i < patch.size(); ++i) {
      const std::size_t k = patch[i];
      if (std::abs(f.residuals[i] - to.means[k]) > gate) continue;
      sums[k] += f.residuals[i];
      ++counts[k];
    }
    for (std::size_t k = 0; k < sums.size(); ++k)
      if (counts[k] > 0) to.means[k] = sums[k] / static_cast<double>(counts[k]);
    to.counts = counts;
  }
}

}  // namespace

Vec3 ObservedPlate::patch(std::size_t k) const {
  return center + 0.5 * length_mm * along_u(k) * axis_u + 0.5 * width_mm * along_v(k) * axis_v;
}

ObservedBall observe(const BallFeature& f,
                     const std::string& scan,
                     const std::string& artefact,
                     const std::string& ball) {
  ObservedBall out;
  out.scan = scan;
  out.artefact = artefact;
  out.ball = ball;
  out.sphere = f.fit.sphere;
  out.cap_axis = f.cap_axis;
  out.cap_half_angle_deg = f.cap_half_angle_deg;
  out.covariance = f.covariance;
  // What scatters beyond the matching noise, as stray points do, has no correlation.
  const double rms = f.fit.residuals.rms, excess = rms * rms - f.noise.sd_mm * f.noise.sd_mm;
  if (excess > 0) out.stray_covariance = f.fit.cofactor * excess;
  out.noise_area = f.noise.area;
  return out;
}

ObservedPlate observe(const PlateFeature& f, const std::string& scan, const std::string& artefact) {
  ObservedPlate out;
  out.scan = scan;
  out.artefact = artefact;
  out.center = f.center;
  out.normal = f.fit.plane.normal;
  out.axis_u = (f.located.axis_u - f.located.axis_u.dot(out.normal) * out.normal).normalized();
  out.axis_v = out.normal.cross(out.axis_u);
  if (out.axis_v.dot(f.located.axis_v) < 0) out.axis_v = -out.axis_v;
  out.length_mm = f.length_mm;
  out.width_mm = f.width_mm;
  out.noise_sd = f.noise.sd_mm;
  out.noise_area = f.noise.area;
  average(f, out);
  return out;
}

}  // namespace rigproof
