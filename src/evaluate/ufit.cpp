#include "evaluate/ufit.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numbers>

#include "evaluate/cap.h"
#include "evaluate/distribution.h"
#include "fit/blocks.h"
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

constexpr double kGrazing = 0.2;        // cosine below which a residual is not projected on the ray
constexpr std::size_t kCensus = 20000;  // points that find the cells

struct Variogram {
  std::array<double, kLags + 1> sum{};
  std::array<std::size_t, kLags + 1> pairs{};
};

// Raster of patches across the ray: number of the patch, −1 for cells that are not used.
class Raster {
 public:
  explicit Raster(const ZoneSurface& s)
      : axes_(across(s.ray)), to_cell_(1 / (kPatch * s.spacing_mm)) {
    std::map<std::pair<long, long>, std::size_t> counts;
    const std::size_t n = s.points.size(), used = std::min(n, kCensus);
    for (std::size_t k = 0; k < used; ++k) ++counts[cell(s.points.local(k * n / used))];
    std::vector<std::pair<long, long>> full;
    for (const auto& [key, count] : counts)
      if (count * n >= kPatchLeast * used) full.push_back(key);
    patches_ = std::min(kPatches, full.size());
    if (patches_ == 0) return;
    long hi_u = full[0].first, hi_v = full[0].second;
    lo_u_ = hi_u, lo_v_ = hi_v;
    for (const auto& [a, b] : full) {
      lo_u_ = std::min(lo_u_, a), hi_u = std::max(hi_u, a);
      lo_v_ = std::min(lo_v_, b), hi_v = std::max(hi_v, b);
    }
    rows_ = hi_u - lo_u_ + 1, columns_ = hi_v - lo_v_ + 1;
    table_.assign(static_cast<std::size_t>(rows_ * columns_), -1);
    for (std::size_t k = 0; k < patches_; ++k) {
      const auto [a, b] = full[k * full.size() / patches_];
      table_[static_cast<std::size_t>((a - lo_u_) * columns_ + b - lo_v_)] = static_cast<int>(k);
    }
  }

  std::size_t patches() const { return patches_; }
  int patch(const Vec3& local) const {
    const auto [i, j] = cell(local);
    const long a = i - lo_u_, b = j - lo_v_;
    if (a < 0 || b < 0 || a >= rows_ || b >= columns_) return -1;
    return table_[static_cast<std::size_t>(a * columns_ + b)];
  }

 private:
  std::pair<long, long> cell(const Vec3& p) const {
    return {static_cast<long>(std::floor(p.dot(axes_.first) * to_cell_)),
            static_cast<long>(std::floor(p.dot(axes_.second) * to_cell_))};
  }
  std::pair<Vec3, Vec3> axes_;
  double to_cell_;
  long lo_u_ = 0, lo_v_ = 0, rows_ = 0, columns_ = 0;
  std::size_t patches_ = 0;
  std::vector<int> table_;
};

// Members of each patch, in order, at most kPatchMost of them.
std::vector<std::vector<std::size_t>> members(const ZoneSurface& s) {
  const Raster raster(s);
  if (raster.patches() == 0) return {};
  const std::size_t n = s.points.size();
  std::vector<std::vector<std::pair<int, std::size_t>>> parts((n + kBlock - 1) / kBlock);
  for_blocks(n, 0, [&](std::size_t begin, std::size_t end, std::size_t b) {
    for (std::size_t i = begin; i < end; ++i)
      if (const int k = raster.patch(s.points.local(i)); k >= 0) parts[b].push_back({k, i});
  });
  std::vector<std::vector<std::size_t>> out(raster.patches());
  for (const auto& part : parts)
    for (const auto& [k, i] : part)
      if (auto& patch = out[static_cast<std::size_t>(k)]; patch.size() < kPatchMost)
        patch.push_back(i);
  return out;
}

double along_ray(const ZoneSurface& s, std::size_t i) {
  if (!s.center) return s.residuals[i];
  const Vec3 d = s.points.at(i) - *s.center;
  return s.residuals[i] / std::max(kGrazing, d.dot(s.ray) / d.norm());
}

void add_pairs(Variogram& g, const ZoneSurface& s, const std::vector<std::size_t>& patch) {
  std::vector<double> error;
  for (const std::size_t i : patch) error.push_back(along_ray(s, i));
  const double most = (kLags + 0.5) * s.spacing_mm;
  for (std::size_t a = 0; a < patch.size(); ++a)
    for (std::size_t b = a + 1; b < patch.size(); ++b) {
      const double d2 = (s.points.local(patch[a]) - s.points.local(patch[b])).squaredNorm();
      if (d2 >= most * most) continue;
      const auto lag = static_cast<std::size_t>(std::sqrt(d2) / s.spacing_mm + 0.5);
      const double e = error[a] - error[b];
      g.sum[lag] += 0.5 * e * e;
      ++g.pairs[lag];
    }
}

Variogram variogram(const ZoneSurface& s) {
  Variogram g;
  for (const auto& patch : members(s)) add_pairs(g, s, patch);
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

ZoneNoise zone_noise(const ZoneSurface& surface) {
  ZoneNoise noise;
  if (surface.spacing_mm > 0) noise = from_variogram(variogram(surface));
  if (noise.pairs == 0) noise.sd_mm = residual_stats(surface.residuals).rms;
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
