#include "evaluate/ufit.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "evaluate/distribution.h"
#include "fit/sphere_step.h"

namespace rigproof {
namespace {

constexpr std::size_t kCovariancePoints = 65536;
constexpr double kGrazing = 0.2;  // least cosine

}  // namespace

Eigen::Matrix4d sphere_covariance(const Points& zone,
                                  const SphereFit& fit,
                                  const Vec3& ray,
                                  const ZoneNoise& noise) {
  const std::size_t n = zone.size(), used = std::min(n, kCovariancePoints);
  if (used == 0) return Eigen::Matrix4d::Zero();
  Points thinned;
  thinned.origin = zone.origin;
  thinned.reserve(used);
  std::vector<double> seen;
  seen.reserve(used);
  const Vec3 center = fit.sphere.center - zone.origin;
  double growth = 0;
  for (std::size_t k = 0; k < used; ++k) {
    const std::size_t i = k * n / used;
    thinned.push_local(zone.x[i], zone.y[i], zone.z[i]);
    const Vec3 d = zone.local(i) - center;
    const double c = d.dot(ray) / d.norm();
    const double grown = 1 + noise.growth * (1 / std::max(kGrazing, std::abs(c)) - 1);
    seen.push_back(c * c * grown);
    growth += grown / static_cast<double>(used);
  }
  for (double& s : seen) s /= growth;
  const Eigen::Matrix4d middle = sphere_sums(thinned, center, fit.sphere.radius, seen).normal() *
                                 (static_cast<double>(n) / static_cast<double>(used));
  return fit.cofactor * middle * fit.cofactor * (noise.sd_mm * noise.sd_mm * noise.area);
}

RangeEnd range_end(double area, std::size_t n, std::size_t left_out) {
  RangeEnd end;
  end.effective = std::max(2.0, static_cast<double>(n) / std::max(1.0, area));
  end.extreme = std::numbers::pi / std::sqrt(6.0) / std::sqrt(2 * std::log(end.effective));
  if (left_out > 0 && 2 * left_out < n) {
    end.q = 0.5 * static_cast<double>(left_out) / static_cast<double>(n);
    end.density = normal_density(normal_quantile(end.q));
    end.quantile = std::sqrt(end.q * (1 - end.q) / end.effective) / end.density;
  }
  return end;
}

double range_repeatability(double sd, double area, std::size_t n, std::size_t left_out) {
  return std::sqrt(2.0) * sd * range_end(area, n, left_out).error();
}

}  // namespace rigproof
