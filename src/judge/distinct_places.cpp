#include "judge/distinct_places.h"

#include <algorithm>

namespace rigproof {

bool DistinctPlaces::add(const std::string& artefact, const Vec3& center, const Vec3& direction) {
  const Vec3 cell = (center / tolerance_.center_mm).array().floor();
  if (!cell.allFinite() || !direction.allFinite()) return true;
  const auto same = [&](const Place& p) {
    return (p.center - center).norm() <= tolerance_.center_mm &&
           angle_deg(p.direction, direction) <= tolerance_.direction_deg;
  };
  for (const int x : {0, -1, 1})
    for (const int y : {0, -1, 1})
      for (const int z : {0, -1, 1}) {
        const auto near = cells_.find({artefact, cell.x() + x, cell.y() + y, cell.z() + z});
        if (near != cells_.end() && std::ranges::any_of(near->second, same)) return false;
      }
  cells_[{artefact, cell.x(), cell.y(), cell.z()}].push_back({center, direction});
  return true;
}

}  // namespace rigproof
