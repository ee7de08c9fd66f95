#include "locate/scene.h"

#include <algorithm>
#include <cmath>

namespace rigproof {

Box trimmed_box(const Points& points, double share) {
  constexpr std::size_t kLooked = 8192;
  Box box;
  if (points.empty()) return box;
  const std::size_t stride = std::max<std::size_t>(1, points.size() / kLooked);
  const FreshVector<double>* axes[3] = {&points.x, &points.y, &points.z};
  std::vector<double> values;
  for (int a = 0; a < 3; ++a) {
    values.clear();
    for (std::size_t i = 0; i < points.size(); i += stride) values.push_back((*axes[a])[i]);
    const std::size_t k = static_cast<std::size_t>(share * (values.size() - 1));
    std::ranges::nth_element(values, values.begin() + k);
    box.lo[a] = values[k];
    std::ranges::nth_element(values, values.end() - 1 - k);
    box.hi[a] = *(values.end() - 1 - k);
  }
  return box;
}

Scene::Scene(const Points& points,
             const std::optional<Vec3>& sensor,
             double finest_edge,
             int threads)
    : points_(points), finest_edge_(finest_edge), threads_(threads) {
  // A few strays beside the sensor must not hide that the scene lies before it.
  const Box box = trimmed_box(points, 0.03);
  middle_ = box.empty() ? Vec3::Zero() : Vec3(0.5 * (box.lo + box.hi));
  if (sensor)
    sensor_ = *sensor - points.origin;
  else if (!box.empty() && !box.contains(-points.origin))
    sensor_ = -points.origin;
}

int Scene::level_for(double edge) const {
  return std::max(0, static_cast<int>(std::lround(std::log2(edge / finest_edge_))));
}

const SceneLevel& Scene::level(int index) {
  while (static_cast<int>(levels_.size()) <= index) {
    CellGrid grid = levels_.empty() ? CellGrid(points_, finest_edge_, middle_, threads_)
                                    : CellGrid(levels_.back().grid, threads_);
    levels_.push_back({std::move(grid), {}});
  }
  SceneLevel& level = levels_[index];
  if (level.patches.empty()) level.patches = make_patches(level.grid, threads_);
  return level;
}

}  // namespace rigproof
