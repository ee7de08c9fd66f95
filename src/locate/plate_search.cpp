#include "locate/plate_search.h"

#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/format.h>

#include "base/threads.h"
#include "fit/decompose.h"
#include "locate/flat_regions.h"
#include "locate/plate_extent.h"
#include "locate/resolution.h"
#include "locate/smooth_bodies.h"

namespace rigproof {
namespace {

constexpr std::size_t kMostRegions = 48;
constexpr std::size_t kMostPoints = 20000;
constexpr double kPointsPerCell = 8;
constexpr double kNoisiest = 0.15;  // noise of the patches against the edge; else coarser cells
constexpr double kTukey = 4.685;
constexpr double kGate = 4;             // scatters: on the plate
constexpr double kJoinReach = 0.15;     // of the size
constexpr int kCoarserLevels = 3;       // for wavy walls and floors nobody asked for
constexpr double kMostScatter = 0.025;  // of the width: more is not flat
constexpr std::size_t kLeastSupport = 100;
constexpr double kLeastWidth = 4;      // edges: narrower regions are rims and rounded corners
constexpr double kLeastShare = 0.004;  // of the sample, for a flat region nobody asked for
constexpr double kSizeTolerance = 0.1;

double median(std::vector<double> v) {
  if (v.empty()) return 0;
  std::ranges::nth_element(v, v.begin() + v.size() / 2);
  return v[v.size() / 2];
}

/// Cells fine enough for the smallest plate, filled and quiet enough for their normals.
int suiting_level(Scene& scene, const LocateRequest& request) {
  double edge = edge_for_occupancy(scene.points(), kPointsPerCell, scene.threads());
  for (const auto& plate : request.plates)
    edge = std::min(edge, 0.08 * std::min(plate.length_mm, plate.width_mm));
  int index = scene.level_for(std::max(edge, 1e-300));
  for (;; ++index) {
    const SceneLevel& level = scene.level(index);
    std::vector<double> noises;
    for (const Patch& p : level.patches)
      if (p.valid()) noises.push_back(p.noise);
    if (level.grid.size() < 200 || median(std::move(noises)) < kNoisiest * level.grid.edge())
      return index;
  }
}

std::vector<char> cells_on_balls(const Scene& scene,
                                 const SceneLevel& level,
                                 const std::vector<BallSighting>& balls) {
  std::vector<char> taken(level.grid.size(), 0);
  for (const BallSighting& ball : balls) {
    const Vec3 center = ball.sphere.center - scene.points().origin;
    const double slack = 0.5 * level.grid.edge() + kGate * ball.scatter_mm;
    level.grid.for_cells_near(
        center, ball.sphere.radius + 2 * level.grid.edge(), [&](std::size_t c) {
          const Patch& p = level.patches[c];
          const Vec3 radial = p.mean - center;
          if (p.valid() && std::abs(radial.norm() - ball.sphere.radius) < slack &&
              std::abs(p.normal.dot(radial)) > 0.8 * radial.norm())
            taken[c] = 1;
        });
  }
  return taken;
}

/// Points of the region's cells, thinned.
Points points_of(const Scene& scene, int index, const FlatRegion& region) {
  Points points;
  points.origin = region.plane.point;
  double total = 0;
  for (std::uint32_t c : region.cells) total += scene.made(index).grid.moments(c).n;
  const std::size_t stride =
      std::max<std::size_t>(1, static_cast<std::size_t>(total / kMostPoints));
  std::size_t count = 0;
  for (std::uint32_t c : region.cells)
    scene.for_points(index, c, [&](std::uint32_t i) {
      if (count++ % stride == 0) points.push(scene.points().local(i));
    });
  return points;
}

/// M-estimator of the plane (Tukey's biweight); the scatter is the robust standard deviation.
Plane refine_plane(const Points& points, Plane plane, double& scatter) {
  constexpr int kRounds = 8;
  for (int round = 0; round < kRounds; ++round) {
    std::vector<double> sizes;
    for (std::size_t i = 0; i < points.size(); ++i)
      sizes.push_back(std::abs(plane.deviation(points.at(i))));
    scatter = 1.4826 * median(sizes);
    const double gate = kTukey * scatter;
    if (!(gate > 0)) break;
    double sum_w = 0;
    Vec3 sum = Vec3::Zero();
    Mat3 square = Mat3::Zero();
    for (std::size_t i = 0; i < points.size(); ++i) {
      const double t = sizes[i] / gate;
      if (t >= 1) continue;
      const double w = (1 - t * t) * (1 - t * t);
      const Vec3 q = points.local(i);
      sum_w += w;
      sum += w * q;
      square += w * q * q.transpose();
    }
    const Vec3 mean = sum / sum_w;
    Vec3 normal = principal_axes(square / sum_w - mean * mean.transpose()).axes.col(0);
    if (normal.dot(plane.normal) < 0) normal = -normal;
    plane = {points.origin + mean, normal};
  }
  return plane;
}

struct Measured {
  PlateSighting plate;  // local frame
  double edge = 0;      // of the cells
};

Measured measure(const Scene& scene, int index, const FlatRegion& region) {
  const SceneLevel& level = scene.made(index);
  const Points points = points_of(scene, index, region);
  Measured m;
  m.plate.plane = refine_plane(points, region.plane, m.plate.scatter_mm);
  Plane& plane = m.plate.plane;
  const std::optional<Vec3>& sensor = scene.sensor();
  if (sensor ? plane.normal.dot(*sensor - plane.point) < 0 : plane.normal.z() > 0)
    plane.normal = -plane.normal;

  // The rim lies in cells that did not join, because their patches look over the edge: points of
  // the next ring of cells count where they lie on the plane.
  const double gate = std::max(kGate * m.plate.scatter_mm, 1e-6 * level.grid.edge());
  std::vector<std::uint32_t> cells = region.cells;
  for (std::uint32_t c : region.cells)
    level.grid.for_neighbours(
        c, [&](std::size_t o, int, int, int) { cells.push_back(static_cast<std::uint32_t>(o)); });
  std::ranges::sort(cells);
  cells.erase(std::unique(cells.begin(), cells.end()), cells.end());
  double total = 0;
  for (std::uint32_t c : cells) total += level.grid.moments(c).n;
  const std::size_t stride =
      std::max<std::size_t>(1, static_cast<std::size_t>(total / (2 * kMostPoints)));
  Points on;
  on.origin = plane.point;
  for (std::uint32_t c : cells)
    scene.for_points(index, c, [&](std::uint32_t i) {
      const Vec3 p = scene.points().local(i);
      if (std::abs(plane.deviation(p)) > gate) return;
      if (m.plate.support++ % stride == 0) on.push(p);
    });
  const PlateExtent extent = plate_extent(on, plane, level.grid.edge());
  plane.point = extent.middle;
  m.plate.axis_u = extent.axis_u;
  m.plate.axis_v = extent.axis_v;
  m.plate.length_mm = extent.length_mm;
  m.plate.width_mm = extent.width_mm;
  m.edge = level.grid.edge();
  return m;
}

/// Does a measured side agree with a nominal one? Cells at the rim are uncertain by half an edge.
bool agrees(double measured, double nominal, double edge) {
  return std::abs(measured - nominal) <= kSizeTolerance * nominal + edge;
}

bool fits(const PlateSighting& plate, const LocateRequest::Plate& nominal, double edge) {
  return agrees(plate.length_mm, std::max(nominal.length_mm, nominal.width_mm), edge) &&
         agrees(plate.width_mm, std::min(nominal.length_mm, nominal.width_mm), edge);
}

bool is_nominal(const Measured& m, const LocateRequest& request) {
  return m.plate.support >= kLeastSupport / 2 &&
         std::ranges::any_of(request.plates, [&](const LocateRequest::Plate& nominal) {
           return fits(m.plate, nominal, m.edge);
         });
}

/// Flat regions of one level with their planes and sides, without slices of curved bodies. Once a
/// body is seen to be curved, its other regions stay only if they are sure to be flat. A size that
/// was asked for speaks for a plate all the same.
std::vector<Measured> measure_level(Scene& scene,
                                    int index,
                                    const LocateRequest& request,
                                    const std::vector<BallSighting>& balls) {
  const SceneLevel& level = scene.level(index);
  std::vector<FlatRegion> regions = grow_flat_regions(level, cells_on_balls(scene, level, balls));
  if (regions.size() > kMostRegions) regions.resize(kMostRegions);
  regions = join_coplanar(level, std::move(regions), kJoinReach);
  const SmoothBodies bodies(level);
  std::vector<RegionShape> shapes(regions.size());
  std::vector<Measured> measured(regions.size());
  parallel_blocks(regions.size(), scene.threads(), [&](std::size_t k, int) {
    shapes[k] = shape_of(level, bodies, regions[k]);
    if (!shapes[k].curved) measured[k] = measure(scene, index, regions[k]);
  });
  std::set<std::uint32_t> curved_bodies;
  for (std::size_t k = 0; k < regions.size(); ++k)
    if (shapes[k].slice) curved_bodies.insert(bodies.body_of(regions[k]));
  std::vector<Measured> flat;
  for (std::size_t k = 0; k < regions.size(); ++k) {
    const PlateSighting& plate = measured[k].plate;
    if (shapes[k].curved || plate.scatter_mm > kMostScatter * plate.width_mm) continue;
    const bool doubtful =
        !shapes[k].surely_flat && curved_bodies.contains(bodies.body_of(regions[k]));
    if (!doubtful || is_nominal(measured[k], request)) flat.push_back(measured[k]);
  }
  return flat;
}

bool lies_in(const PlateSighting& small, const PlateSighting& big) {
  const Vec3 q = small.plane.point - big.plane.point;
  return std::abs(q.dot(big.axis_u)) < 0.5 * big.length_mm &&
         std::abs(q.dot(big.axis_v)) < 0.5 * big.width_mm &&
         std::abs(q.dot(big.plane.normal)) <=
             3 * big.scatter_mm + small.scatter_mm + 1e-6 * big.width_mm;
}

/// Adds regions seen in coarser cells. One that holds regions found before takes their place when
/// it gathers clearly more points about as closely, as on a wavy wall; two steps of a stair do not
/// become one.
void add_coarser(std::vector<Measured> coarser, std::vector<Measured>& all) {
  constexpr double kMore = 1.5, kAsClose = 2.5;
  for (Measured& c : coarser) {
    std::vector<std::size_t> inside;
    double most = 0, points = 0, scatter = 0;
    for (std::size_t k = 0; k < all.size(); ++k) {
      const PlateSighting& p = all[k].plate;
      if (!lies_in(p, c.plate) && !lies_in(c.plate, p)) continue;
      inside.push_back(k);
      const double n = static_cast<double>(p.support);
      most = std::max(most, n);
      points += n;
      scatter += n * p.scatter_mm;
    }
    if (!inside.empty() && (static_cast<double>(c.plate.support) < kMore * most ||
                            c.plate.scatter_mm > kAsClose * scatter / points))
      continue;
    for (auto k = inside.rbegin(); k != inside.rend(); ++k)
      all.erase(all.begin() + static_cast<std::ptrdiff_t>(*k));
    all.push_back(std::move(c));
  }
}

std::string words(const PlateSighting& p) {
  return fmt::format("flat surface {:.4g} × {:.4g} mm about ({:.1f}, {:.1f}, {:.1f}) mm",
                     p.length_mm,
                     p.width_mm,
                     p.plane.point.x(),
                     p.plane.point.y(),
                     p.plane.point.z());
}

}  // namespace

PlatesFound find_plates(Scene& scene,
                        const LocateRequest& request,
                        const std::vector<BallSighting>& balls) {
  const int index = suiting_level(scene, request);
  std::vector<Measured> measured = measure_level(scene, index, request, balls);
  if (request.unknown_plates)
    for (int k = 1; k <= kCoarserLevels; ++k)
      add_coarser(measure_level(scene, index + k, request, balls), measured);
  std::ranges::stable_sort(measured, [](const Measured& a, const Measured& b) {
    return a.plate.support > b.plate.support;
  });

  PlatesFound found;
  const double large =
      std::max<double>(kLeastSupport, kLeastShare * static_cast<double>(scene.points().size()));
  for (Measured& m : measured) {
    PlateSighting& p = m.plate;
    p.plane.point += scene.points().origin;
    p.is_nominal = is_nominal(m, request);
    const bool is_large =
        static_cast<double>(p.support) >= large && p.width_mm >= kLeastWidth * m.edge;
    if (p.is_nominal || (request.unknown_plates && is_large))
      found.plates.push_back(p);
    else if (is_large)
      found.near_misses.push_back(words(p));
  }
  return found;
}

}  // namespace rigproof
