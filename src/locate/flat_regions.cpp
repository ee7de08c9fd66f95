#include "locate/flat_regions.h"

#include <algorithm>
#include <cmath>

#include "fit/decompose.h"

namespace rigproof {
namespace {

constexpr std::size_t kLeastCells = 12;
constexpr double kNormalWithin = 0.965;  // cosine of 15°
constexpr double kOffset = 0.12;         // edges: how far a cell's points may stand off the plane
constexpr double kOffsetNoises = 3;      // plus so many times the noise of their mean

/// Moments of many cells about a point near them.
struct PlaneSums {
  double n = 0;
  Vec3 sum = Vec3::Zero();
  Mat3 square = Mat3::Zero();

  void add(const SceneLevel& level, std::size_t cell, const Vec3& about) {
    const CellMoments& m = level.grid.moments(cell);
    const double edge = level.grid.edge();
    const Vec3 t = level.grid.block_middle(cell) - about, first = edge * m.q;
    n += m.n;
    sum += first + m.n * t;
    square += edge * edge * m.second() + first * t.transpose() + t * first.transpose() +
              m.n * t * t.transpose();
  }
  Plane plane(const Vec3& about, const Vec3& like) const {
    const Vec3 mean = sum / n;
    Vec3 normal = principal_axes(square / n - mean * mean.transpose()).axes.col(0);
    if (normal.dot(like) < 0) normal = -normal;
    return {about + mean, normal};
  }
};

bool stands_on(const SceneLevel& level, std::size_t cell, const Plane& plane, double noise) {
  const Patch& patch = level.patches[cell];
  if (!patch.valid() || std::abs(patch.normal.dot(plane.normal)) < kNormalWithin) return false;
  const double allowed =
      kOffset * level.grid.edge() + kOffsetNoises * noise / std::sqrt(level.grid.moments(cell).n);
  return std::abs(plane.deviation(level.grid.mean(cell))) < allowed;
}

double median_noise(const SceneLevel& level, const std::vector<std::uint32_t>& cells) {
  std::vector<double> noises;
  for (std::uint32_t c : cells) noises.push_back(level.patches[c].noise);
  std::ranges::nth_element(noises, noises.begin() + noises.size() / 2);
  return noises[noises.size() / 2];
}

FlatRegion grow(const SceneLevel& level, std::size_t seed, std::vector<char>& taken) {
  FlatRegion region;
  const Vec3 about = level.patches[seed].mean;
  region.plane = {about, level.patches[seed].normal};
  region.noise = level.patches[seed].noise;
  PlaneSums sums;
  std::size_t refit_at = 8;
  region.cells.push_back(static_cast<std::uint32_t>(seed));
  taken[seed] = 1;
  sums.add(level, seed, about);
  for (std::size_t next = 0; next < region.cells.size(); ++next) {
    if (next >= refit_at) {  // only cells that are surrounded already: no half-grown rim
      region.plane = sums.plane(about, region.plane.normal);
      region.noise = median_noise(level, region.cells);
      refit_at *= 2;
    }
    level.grid.for_neighbours(region.cells[next], [&](std::size_t c, int, int, int) {
      if (taken[c] || !stands_on(level, c, region.plane, region.noise)) return;
      taken[c] = 1;
      region.cells.push_back(static_cast<std::uint32_t>(c));
      sums.add(level, c, about);
    });
  }
  if (region.cells.size() >= 3) region.plane = sums.plane(about, region.plane.normal);
  return region;
}

struct Frame {
  Vec3 lo = Vec3::Constant(1e300), hi = Vec3::Constant(-1e300);
};
Frame box_of(const SceneLevel& level, const FlatRegion& region) {
  Frame f;
  for (std::uint32_t c : region.cells) {
    f.lo = f.lo.cwiseMin(level.grid.middle(c));
    f.hi = f.hi.cwiseMax(level.grid.middle(c));
  }
  return f;
}

bool coplanar(const SceneLevel& level, const FlatRegion& a, const FlatRegion& b) {
  const double size = (box_of(level, b).hi - box_of(level, b).lo).norm();
  const double tilt = std::sqrt(std::max(0.0, 1 - std::pow(a.plane.normal.dot(b.plane.normal), 2)));
  const double allowed = kOffset * level.grid.edge() + 0.5 * std::max(a.noise, b.noise);
  return tilt * size < 4 * allowed && std::abs(a.plane.deviation(b.plane.point)) < allowed;
}

}  // namespace

std::vector<FlatRegion> grow_flat_regions(const SceneLevel& level, const std::vector<char>& taken) {
  std::vector<std::uint32_t> seeds;
  for (std::uint32_t c = 0; c < level.grid.size(); ++c)
    if (!taken[c] && level.patches[c].valid()) seeds.push_back(c);
  std::ranges::sort(seeds, [&](std::uint32_t a, std::uint32_t b) {
    const double p = level.patches[a].noise, q = level.patches[b].noise;
    return p != q ? p < q : level.grid.address(a) < level.grid.address(b);
  });
  std::vector<char> used = taken;
  std::vector<FlatRegion> regions;
  for (std::uint32_t seed : seeds) {
    if (used[seed]) continue;
    FlatRegion region = grow(level, seed, used);
    if (region.cells.size() < kLeastCells) continue;
    region.noise = median_noise(level, region.cells);
    regions.push_back(std::move(region));
  }
  std::ranges::stable_sort(
      regions, std::ranges::greater{}, [](const FlatRegion& r) { return r.cells.size(); });
  return regions;
}

std::vector<FlatRegion> join_coplanar(const SceneLevel& level,
                                      std::vector<FlatRegion> regions,
                                      double reach) {
  for (std::size_t a = 0; a < regions.size(); ++a)
    for (std::size_t b = a + 1; b < regions.size();) {
      const Frame p = box_of(level, regions[a]), q = box_of(level, regions[b]);
      const Vec3 gap = (p.lo - q.hi).cwiseMax(q.lo - p.hi).cwiseMax(0);
      const double size = (p.hi - p.lo).norm();
      if (gap.norm() > std::max(reach * size, 4 * level.grid.edge()) ||
          !coplanar(level, regions[a], regions[b])) {
        ++b;
        continue;
      }
      FlatRegion& joined = regions[a];
      joined.cells.insert(joined.cells.end(), regions[b].cells.begin(), regions[b].cells.end());
      const Vec3 about = joined.plane.point;
      PlaneSums sums;
      for (std::uint32_t c : joined.cells) sums.add(level, c, about);
      joined.plane = sums.plane(about, joined.plane.normal);
      regions.erase(regions.begin() + static_cast<std::ptrdiff_t>(b));
      b = a + 1;
    }
  return regions;
}

}  // namespace rigproof
