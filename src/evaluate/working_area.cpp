#include "evaluate/working_area.h"

#include <algorithm>
#include <array>
#include <cmath>

#include <Eigen/Geometry>

namespace rigproof {
namespace {

constexpr double kEdgeShare = 0.001;  // of the points may lie beyond an edge: extents as quantiles
constexpr std::size_t kEdgePoints = 100000;  // that tell where the edges are
constexpr std::size_t kStrips = 32;          // across each pair of edges
constexpr double kCorners = 0.05;            // of a side at either end belong to no strip
constexpr double kMostTurn = 0.1;            // rad; more is no edge of the plate
constexpr int kTurns = 2;                    // the first may mix edges near the corners

using Flat = std::vector<Eigen::Vector2d>;

struct Extent {
  double lo = 0, hi = 0;
};

Extent robust_extent(const Flat& points, int axis) {
  std::vector<double> along;
  for (const auto& p : points) along.push_back(p[axis]);
  const auto k = static_cast<std::ptrdiff_t>(kEdgeShare * static_cast<double>(along.size()));
  const auto lo = along.begin() + k, hi = along.end() - 1 - k;
  std::nth_element(along.begin(), lo, along.end());
  const double low = *lo;
  std::nth_element(along.begin(), hi, along.end());
  return {low, *hi};
}

Flat in_plane(const PlateZone& z, const Points& points) {
  Flat out;
  const Vec3 origin = z.plane.point - points.origin;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const Vec3 d = points.local(i) - origin;
    if (std::abs(z.plane.normal.dot(d)) <= z.gate_mm) out.push_back({z.u.dot(d), z.v.dot(d)});
  }
  return out;
}

double median(std::vector<double>& x) {
  const auto middle = x.begin() + static_cast<std::ptrdiff_t>(x.size() / 2);
  std::nth_element(x.begin(), middle, x.end());
  return *middle;
}

// Median slope over all pairs of strips (Theil and Sen): a chipped edge or a point that flies
// beyond it does not turn it.
double slope(const Flat& edge) {
  std::vector<double> slopes;
  for (std::size_t i = 0; i < edge.size(); ++i)
    for (std::size_t j = i + 1; j < edge.size(); ++j)
      slopes.push_back((edge[j].y() - edge[i].y()) / (edge[j].x() - edge[i].x()));
  return slopes.empty() ? 0 : median(slopes);
}

// Slopes of the two edges that end `across`, from the outermost points of strips side by side.
std::array<double, 2> edge_slopes(const Flat& points, int along, int across) {
  const Extent whole = robust_extent(points, along);
  const double from = whole.lo + kCorners * (whole.hi - whole.lo);
  const double width = (1 - 2 * kCorners) * (whole.hi - whole.lo) / kStrips;
  std::array<std::array<Eigen::Vector2d, 2>, kStrips> ends;
  std::array<bool, kStrips> any{};
  for (const auto& p : points) {
    const double strip = (p[along] - from) / width;
    if (!(strip >= 0 && strip < kStrips)) continue;
    const auto k = static_cast<std::size_t>(strip);
    const Eigen::Vector2d here(p[along], p[across]);
    if (!any[k] || here.y() < ends[k][0].y()) ends[k][0] = here;
    if (!any[k] || here.y() > ends[k][1].y()) ends[k][1] = here;
    any[k] = true;
  }
  std::array<double, 2> out{};
  for (const std::size_t side : {0, 1}) {
    Flat edge;
    for (std::size_t k = 0; k < kStrips; ++k)
      if (any[k]) edge.push_back(ends[k][side]);
    out[side] = slope(edge);
  }
  return out;
}

// The angle, about the normal u × v, that most of the four edges agree on.
double turn_to_edges(const Flat& points) {
  std::vector<double> angles;
  for (const double s : edge_slopes(points, 0, 1)) angles.push_back(std::atan(s));
  for (const double s : edge_slopes(points, 1, 0)) angles.push_back(-std::atan(s));
  std::ranges::sort(angles);
  const double turn = 0.5 * (angles[1] + angles[2]);
  return std::abs(turn) <= kMostTurn ? turn : 0;
}

}  // namespace

bool find_working_area(PlateZone& z,
                       const Points& points,
                       const PlateNominal& nominal,
                       double border_mm) {
  const Points some = thinned(points, kEdgePoints);
  Flat seen = in_plane(z, some);
  if (seen.size() < 3) return false;
  for (int round = 0; round < kTurns; ++round) {
    const double angle = turn_to_edges(seen);
    for (auto& p : seen) p = Eigen::Rotation2Dd(-angle) * p;
    const Vec3 u = std::cos(angle) * z.u + std::sin(angle) * z.v;
    z.v = std::cos(angle) * z.v - std::sin(angle) * z.u;
    z.u = u;
  }
  const Extent a = robust_extent(seen, 0), b = robust_extent(seen, 1);
  z.center = z.plane.point + 0.5 * (a.lo + a.hi) * z.u + 0.5 * (b.lo + b.hi) * z.v;
  const auto side = [](const Extent& e, double wanted) {
    return wanted > 0 ? std::min(wanted, e.hi - e.lo) : e.hi - e.lo;
  };
  z.half_u_mm = side(a, nominal.length_mm) / 2 - border_mm;
  z.half_v_mm = side(b, nominal.width_mm) / 2 - border_mm;
  return z.half_u_mm > 0 && z.half_v_mm > 0;
}

}  // namespace rigproof
