#pragma once

#include <deque>
#include <optional>

#include "geometry/shapes.h"
#include "locate/cell_grid.h"
#include "locate/patch.h"

namespace rigproof {

/// One resolution of a scene.
struct SceneLevel {
  CellGrid grid;
  std::vector<Patch> patches;  ///< one a cell
};

/// The sample as everything in this room sees it: points, where the sensor stands, and cells and
/// surface patches at any resolution, made when first asked for. All coordinates are local, i.e.
/// relative to the origin of the points.
class Scene {
 public:
  /// `sensor` in the scan's frame; without one the frame's origin is taken when it lies outside the
  /// points. `finest_edge` is the edge of the smallest cells, mm.
  Scene(const Points& points, const std::optional<Vec3>& sensor, double finest_edge, int threads);

  const Points& points() const { return points_; }
  const std::optional<Vec3>& sensor() const { return sensor_; }
  int threads() const { return threads_; }

  /// Levels 0, 1, …: each of twice the edge of the one before.
  int level_for(
      double edge) const;  ///< the nearest in ratio; 0 when `edge` is finer than the finest
  const SceneLevel& level(int index);
  /// The same for a level that exists; may be called from many threads.
  const SceneLevel& made(int index) const { return levels_[index]; }
  /// visit(point index) for the points of a cell. The level must have been asked for before.
  template <class Visit>
  void for_points(int level, std::size_t cell, const Visit& visit) const;

 private:
  const Points& points_;
  std::optional<Vec3> sensor_;
  double finest_edge_;
  Vec3 middle_;
  int threads_;
  std::deque<SceneLevel> levels_;
};

/// Where most of the points lie: the box of the coordinates' quantiles `share` and 1 − share, from
/// a few thousand points. Far outliers do not move it. Local.
Box trimmed_box(const Points& points, double share);

template <class Visit>
void Scene::for_points(int level, std::size_t cell, const Visit& visit) const {
  const CellGrid& grid = levels_[level].grid;
  for (std::uint32_t k = grid.item_begin(cell); k < grid.item_begin(cell + 1); ++k) {
    if (level == 0)
      visit(grid.items()[k]);
    else
      for_points(level - 1, grid.items()[k], visit);
  }
}

}  // namespace rigproof
