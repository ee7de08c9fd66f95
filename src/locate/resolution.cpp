#include "locate/resolution.h"

#include <algorithm>
#include <cmath>

#include "locate/cell_grid.h"
#include "locate/scene.h"

namespace rigproof {
namespace {

constexpr double kCellsARadius = 0.25;  // cell edge
constexpr double kCellsAWidth = 0.05;
// Points a cell where sizes are unknown: few when there are few, so that a ball of a hundred points
// still shows; in large scans enough for a normal in every cell.
constexpr double kFewest = 2, kMost = 8, kManyPoints = 25000;

constexpr double kEnough = 16;  // points a cell, of which its neighbours have as many
constexpr double kWorthIt = 2;  // a smaller stride costs as much as it spares
constexpr std::size_t kLooked = 50000, kLookedToThin = 25000;

/// One point of `stride`, which need not be whole, evenly over the order of the file.
Points every(const Points& points, double stride) {
  Points part;
  part.origin = points.origin;
  const auto n = static_cast<std::size_t>(static_cast<double>(points.size()) / stride);
  part.reserve(n);
  for (std::size_t k = 0; k < n; ++k) {
    const auto i = static_cast<std::size_t>(static_cast<double>(k) * stride);
    part.push_local(points.x[i], points.y[i], points.z[i]);
  }
  return part;
}

double stride_for(const Points& points, std::size_t wanted) {
  return std::max(1.0, static_cast<double>(points.size()) / static_cast<double>(wanted));
}

}  // namespace

std::optional<Points> thinned_to_enough(const Points& points, double edge, int threads) {
  // Cells of twice the edge are a quarter as many on a surface, and few points find them all.
  const Points few = every(points, stride_for(points, kLookedToThin));
  const Box box = trimmed_box(points, 0.02);
  if (box.empty()) return std::nullopt;
  const CellGrid grid(few, 2 * edge, 0.5 * (box.lo + box.hi), threads);
  if (grid.size() == 0) return std::nullopt;
  const double held = static_cast<double>(points.size()) / (4 * static_cast<double>(grid.size()));
  const double stride = held / kEnough;
  if (stride < kWorthIt) return std::nullopt;
  return every(points, stride);
}

double edge_for_occupancy(const Points& points, double wanted, int threads) {
  const Box box = trimmed_box(points, 0.02);
  if (box.empty()) return 0;
  const double extent = (box.hi - box.lo).norm();
  if (!(extent > 0)) return 0;
  // A part of the points fills a cell by its share.
  const Points part = every(points, stride_for(points, kLooked));
  const double share = static_cast<double>(part.size()) / static_cast<double>(points.size());
  double edge = extent / 50;
  for (int round = 0; round < 3; ++round) {
    const CellGrid grid(part, edge, 0.5 * (box.lo + box.hi), threads);
    const double held = static_cast<double>(grid.items().size()) /
                        static_cast<double>(std::max<std::size_t>(1, grid.size()));
    // Cells of one point tell only that they are too small.
    const double aim = std::max(wanted * share, 2.0);
    const double next = edge * std::clamp(std::sqrt(aim / held), 0.05, 20.0);
    edge = next;
    if (round == 2) edge *= std::sqrt(wanted * share / aim);
  }
  return edge;
}

double finest_edge(const Points& points, const LocateRequest& request, int threads) {
  double edge = 0;
  const auto take = [&](double e) {
    if (e > 0 && (edge == 0 || e < edge)) edge = e;
  };
  for (double diameter : request.ball_diameters_mm) take(0.5 * kCellsARadius * diameter);
  for (const auto& plate : request.plates)
    take(kCellsAWidth * std::min(plate.length_mm, plate.width_mm));
  if (request.unknown_balls || (request.unknown_plates && edge == 0))
    take(edge_for_occupancy(
        points, std::clamp(points.size() / kManyPoints, kFewest, kMost), threads));
  return edge > 0 ? edge : 1;
}

}  // namespace rigproof
