#include "locate/smooth_bodies.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>

#include <Eigen/Geometry>

#include "fit/decompose.h"

namespace rigproof {
namespace {

// From cell to cell. A sphere on which four cells look flat to kOffset of flat_regions.cpp turns by
// up to 7° a cell.
constexpr double kSmoothTurn = 0.985;  // cosine of 10°
constexpr double kSmoothStep = 0.2;    // height over distance, along the mean normal
// Sagitta over size, our own decision: no plate is made, and no usable rig shows it, so bent.
constexpr double kMostSagitta = 0.01;
constexpr double kSure = 3;       // standard deviations
constexpr double kShared = 0.25;  // of the surroundings' bend

bool goes_over(const SceneLevel& level, std::size_t a, std::size_t b) {
  const Patch &p = level.patches[a], &q = level.patches[b];
  const double cosine = p.normal.dot(q.normal);
  if (std::abs(cosine) < kSmoothTurn) return false;
  const Vec3 normal = p.normal + (cosine < 0 ? -1 : 1) * q.normal;
  const Vec3 step = level.grid.mean(b) - level.grid.mean(a);
  return std::abs(normal.dot(step)) < kSmoothStep * normal.norm() * step.norm();
}

std::uint32_t root(std::vector<std::uint32_t>& parent, std::uint32_t cell) {
  while (parent[cell] != cell) cell = parent[cell] = parent[parent[cell]];
  return cell;
}

/// Of the cells' points along a direction, mm.
double extent_along(const SceneLevel& level,
                    const std::vector<std::uint32_t>& cells,
                    const Vec3& along) {
  double lo = 1e300, hi = -1e300;
  for (std::uint32_t c : cells) {
    const double t = along.dot(level.grid.mean(c));
    lo = std::min(lo, t);
    hi = std::max(hi, t);
  }
  return hi - lo;
}

/// The stronger principal curvature of cells that lie about a plane, from a second-order surface
/// over their means (least squares, each cell as heavy as its points).
struct Bend {
  double curvature = 0;
  double u = 1e300;            ///< its standard deviation from the residuals, 1/mm; huge: unknown
  Vec3 along = Vec3::UnitX();  ///< direction in the plane in which it bends
};
Bend bend_of(const SceneLevel& level, const std::vector<std::uint32_t>& cells, const Plane& about) {
  using Vec6 = Eigen::Matrix<double, 6, 1>;
  const Vec3& n = about.normal;
  const Vec3 u = n.unitOrthogonal(), v = n.cross(u);
  const double scale = level.grid.edge() * std::sqrt(static_cast<double>(cells.size()));
  const auto row_of = [&](std::uint32_t c, double& height) {
    const Vec3 q = (level.grid.mean(c) - about.point) / scale;
    const double x = q.dot(u), y = q.dot(v);
    height = q.dot(n);
    return Vec6{{1, x, y, 0.5 * x * x, x * y, 0.5 * y * y}};
  };
  Eigen::Matrix<double, 6, 6> normal = Eigen::Matrix<double, 6, 6>::Zero();
  Vec6 right = Vec6::Zero();
  double squares = 0;
  for (std::uint32_t c : cells) {
    double h = 0;
    const Vec6 row = row_of(c, h);
    const double w = level.grid.moments(c).n;
    normal += w * row * row.transpose();
    right += w * h * row;
    squares += w * h * h;
  }
  // The first three unknowns, a plane, are eliminated; the 3×3 system of the bends is left.
  for (int k = 0; k < 3; ++k) {
    if (!(normal(k, k) > 0)) return {};
    squares -= right[k] * right[k] / normal(k, k);
    for (int i = k + 1; i < 6; ++i) {
      const double f = normal(i, k) / normal(k, k);
      normal.row(i) -= f * normal.row(k);
      right[i] -= f * right[k];
    }
  }
  const PrincipalAxes axes = principal_axes(normal.bottomRightCorner<3, 3>());
  const double freedom = static_cast<double>(cells.size()) - 6;
  if (!(axes.values[0] > 1e-9 * axes.values[2]) || freedom < 1) return {};
  const Mat3 cofactor = axes.axes * axes.values.cwiseInverse().asDiagonal() * axes.axes.transpose();
  const Vec3 bends = cofactor * right.tail<3>();
  const double variance = std::max(0.0, squares - bends.dot(right.tail<3>())) / freedom;

  // Principal curvatures of [bxx bxy; bxy byy], the stronger one along (cos t, sin t).
  const double half = 0.5 * (bends[0] - bends[2]), mean = 0.5 * (bends[0] + bends[2]);
  double t = 0.5 * std::atan2(bends[1], half);
  if (mean < 0) t += 0.5 * M_PI;
  const double c = std::cos(t), s = std::sin(t);
  const Vec3 weights(c * c, 2 * c * s, s * s);
  Bend bend;
  bend.curvature = std::abs(weights.dot(bends)) / scale;
  bend.u = std::sqrt(variance * weights.dot(cofactor * weights)) / scale;
  bend.along = c * u + s * v;
  return bend;
}

}  // namespace

SmoothBodies::SmoothBodies(const SceneLevel& level)
    : level_(level), first_(level.grid.size()), cells_(level.grid.size()) {
  std::iota(first_.begin(), first_.end(), 0u);
  for (std::uint32_t c = 0; c < first_.size(); ++c) {
    if (!level.patches[c].valid()) continue;
    level.grid.for_neighbours(c, [&](std::size_t o, int, int, int) {
      if (o >= c || !level.patches[o].valid() || !goes_over(level, c, o)) return;
      const std::uint32_t a = root(first_, c), b = root(first_, static_cast<std::uint32_t>(o));
      first_[std::max(a, b)] = std::min(a, b);
    });
  }
  for (std::uint32_t c = 0; c < first_.size(); ++c)
    cells_[first_[c] = root(first_, c)].push_back(c);
}

std::uint32_t SmoothBodies::body_of(const FlatRegion& region) const {
  std::map<std::uint32_t, std::size_t> shared;
  for (std::uint32_t c : region.cells) ++shared[first_[c]];
  return std::ranges::max_element(shared, {}, [](const auto& body) { return body.second; })->first;
}

std::vector<std::uint32_t> SmoothBodies::surroundings(const FlatRegion& region) const {
  std::vector<std::uint32_t> cells = region.cells;
  double reach = 0;
  for (std::uint32_t c : cells)
    reach = std::max(reach, (level_.grid.middle(c) - region.plane.point).norm());
  const std::uint32_t body = body_of(region);
  level_.grid.for_cells_near(region.plane.point, 1.5 * reach, [&](std::uint32_t c) {
    if (first_[c] == body) cells.push_back(c);
  });
  std::ranges::sort(cells);
  cells.erase(std::unique(cells.begin(), cells.end()), cells.end());
  return cells;
}

RegionShape shape_of(const SceneLevel& level,
                     const SmoothBodies& bodies,
                     const FlatRegion& region) {
  const Bend own = bend_of(level, region.cells, region.plane);
  const Bend around = bend_of(level, bodies.surroundings(region), region.plane);
  const double size = extent_along(level, region.cells, own.along);
  const double reach = extent_along(level, bodies.cells_of(bodies.body_of(region)), own.along);
  const double least = std::max(8 * kMostSagitta / reach, kShared * around.curvature);
  const bool sure = own.curvature > kSure * own.u;
  RegionShape shape;
  shape.curved = sure && own.curvature > 8 * kMostSagitta / size;
  shape.slice = sure && own.curvature > least;
  shape.surely_flat = own.curvature + kSure * own.u < least;
  return shape;
}

}  // namespace rigproof
