#include "evaluate/ufit.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numbers>

#include "evaluate/distribution.h"
#include "fit/sphere_step.h"

namespace rigproof {
namespace {

constexpr double kPatch = 16;            // sides in spacings
constexpr std::size_t kPatches = 48;     // at most
constexpr std::size_t kPatchMost = 600;  // points of one patch that are paired
constexpr std::size_t kPatchLeast = 60;
constexpr int kLags = 12, kLevelFrom = 9;
constexpr double kNoCorrelation = 0.05;
constexpr std::size_t kCovariancePoints = 65536;

struct Variogram {
  std::array<double, kLags + 1> sum{};
  std::array<std::size_t, kLags + 1> pairs{};
};

// Cells of the patch raster, the fullest spread: every k-th of those with enough points.
std::vector<std::vector<std::size_t>> patches(const SurfaceResiduals& s) {
  const double side = kPatch * s.spacing_mm;
  std::map<std::pair<long, long>, std::size_t> counts;
  const auto cell = [&](std::size_t i) {
    return std::pair{std::lround(s.u[i] / side), std::lround(s.v[i] / side)};
  };
  const std::size_t n = s.u.size();
  const std::size_t step = std::max<std::size_t>(1, n / 20000);
  for (std::size_t i = 0; i < n; i += step) counts[cell(i)] += step;
  std::vector<std::pair<long, long>> full;
  for (const auto& [key, count] : counts)
    if (count >= kPatchLeast) full.push_back(key);
  const std::size_t used = std::min(kPatches, full.size());
  if (used == 0) return {};

  // A dense table over the few cells there are: the zone is a compact surface.
  long lo_u = full[0].first, hi_u = lo_u, lo_v = full[0].second, hi_v = lo_v;
  for (const auto& [a, b] : full) {
    lo_u = std::min(lo_u, a), hi_u = std::max(hi_u, a);
    lo_v = std::min(lo_v, b), hi_v = std::max(hi_v, b);
  }
  const long columns = hi_v - lo_v + 1;
  std::vector<int> patch_of(static_cast<std::size_t>((hi_u - lo_u + 1) * columns), -1);
  for (std::size_t k = 0; k < used; ++k) {
    const auto [a, b] = full[k * full.size() / used];
    patch_of[static_cast<std::size_t>((a - lo_u) * columns + b - lo_v)] = static_cast<int>(k);
  }
  std::vector<std::vector<std::size_t>> out(used);
  const double to_cell = 1 / side;
  for (std::size_t i = 0; i < n; ++i) {
    const double a = std::floor(s.u[i] * to_cell + 0.5) - static_cast<double>(lo_u);
    const double b = std::floor(s.v[i] * to_cell + 0.5) - static_cast<double>(lo_v);
    if (a < 0 || b < 0 || a > static_cast<double>(hi_u - lo_u) || b >= static_cast<double>(columns))
      continue;
    const int k = patch_of[static_cast<std::size_t>(a) * static_cast<std::size_t>(columns) +
                           static_cast<std::size_t>(b)];
    if (k >= 0 && out[static_cast<std::size_t>(k)].size() < kPatchMost)
      out[static_cast<std::size_t>(k)].push_back(i);
  }
  return out;
}

Variogram variogram(const SurfaceResiduals& s) {
  Variogram g;
  const double most = (kLags + 0.5) * s.spacing_mm;
  for (const auto& patch : patches(s))
    for (std::size_t a = 0; a < patch.size(); ++a)
      for (std::size_t b = a + 1; b < patch.size(); ++b) {
        const double du = s.u[patch[a]] - s.u[patch[b]], dv = s.v[patch[a]] - s.v[patch[b]];
        const double d2 = du * du + dv * dv;
        if (d2 >= most * most) continue;
        const auto lag = static_cast<std::size_t>(std::sqrt(d2) / s.spacing_mm + 0.5);
        const double e = s.residual[patch[a]] - s.residual[patch[b]];
        g.sum[lag] += 0.5 * e * e;
        ++g.pairs[lag];
      }
  return g;
}

ZoneNoise from_variogram(const Variogram& g) {
  ZoneNoise noise;
  double level = 0;
  std::size_t level_pairs = 0;
  for (std::size_t k = kLevelFrom; k <= kLags; ++k) {
    level += g.sum[k];
    level_pairs += g.pairs[k];
  }
  if (level_pairs < 1000 || !(level > 0)) return noise;
  level /= static_cast<double>(level_pairs);
  noise.sd_mm = std::sqrt(level);
  noise.pairs = level_pairs;
  for (std::size_t k = 1; k < kLevelFrom; ++k) {
    if (g.pairs[k] == 0) continue;
    const double rho = 1 - g.sum[k] / static_cast<double>(g.pairs[k]) / level;
    if (rho < kNoCorrelation) break;
    noise.area += 2 * std::numbers::pi * static_cast<double>(k) * rho;
  }
  return noise;
}

}  // namespace

ZoneNoise zone_noise(const SurfaceResiduals& surface) {
  ZoneNoise noise;
  if (surface.spacing_mm > 0) noise = from_variogram(variogram(surface));
  if (noise.pairs == 0) noise.sd_mm = residual_stats(surface.residual).rms;
  return noise;
}

ZoneNoise pooled_noise(const std::vector<ZoneNoise>& zones) {
  ZoneNoise pooled;
  double area = 0, square = 0;
  for (const ZoneNoise& z : zones) {
    const auto weight = static_cast<double>(z.pairs);
    area += weight * z.area;
    square += weight * z.sd_mm * z.sd_mm;
    pooled.pairs += z.pairs;
  }
  if (pooled.pairs == 0) return pooled;
  pooled.area = area / static_cast<double>(pooled.pairs);
  pooled.sd_mm = std::sqrt(square / static_cast<double>(pooled.pairs));
  return pooled;
}

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
  for (std::size_t k = 0; k < used; ++k) {
    const std::size_t i = k * n / used;
    thinned.push_local(zone.x[i], zone.y[i], zone.z[i]);
    const Vec3 d = zone.local(i) - center;
    const double c = d.dot(ray) / d.norm();
    seen.push_back(c * c);
  }
  const Eigen::Matrix4d middle = sphere_sums(thinned, center, fit.sphere.radius, seen).normal() *
                                 (static_cast<double>(n) / static_cast<double>(used));
  return fit.cofactor * middle * fit.cofactor * (noise.sd_mm * noise.sd_mm * noise.area);
}

double range_repeatability(double sd, double area, std::size_t n, std::size_t left_out) {
  const double effective = std::max(2.0, static_cast<double>(n) / std::max(1.0, area));
  const double extreme = std::numbers::pi / std::sqrt(6.0) / std::sqrt(2 * std::log(effective));
  double end = extreme;
  if (left_out > 0 && 2 * left_out < n) {
    const double q = 0.5 * static_cast<double>(left_out) / static_cast<double>(n);
    const double quantile = std::sqrt(q * (1 - q) / effective) / normal_density(normal_quantile(q));
    end = std::min(end, quantile);
  }
  return std::sqrt(2.0) * sd * end;
}

}  // namespace rigproof
