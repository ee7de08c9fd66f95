#pragma once

#include <vector>

#include "locate/flat_regions.h"

namespace rigproof {

/// Parts the cells of a level into smooth bodies: neighbours belong to one body when their surfaces
/// go over into each other without an edge or a step.
class SmoothBodies {
 public:
  explicit SmoothBodies(const SceneLevel& level);
  /// The body that holds most cells of a region.
  std::uint32_t body_of(const FlatRegion& region) const;
  const std::vector<std::uint32_t>& cells_of(std::uint32_t body) const { return cells_[body]; }
  /// The region's cells and those of its body about it, half as far again.
  std::vector<std::uint32_t> surroundings(const FlatRegion& region) const;

 private:
  const SceneLevel& level_;
  std::vector<std::uint32_t> first_;               // one a cell: lowest cell of its body
  std::vector<std::vector<std::uint32_t>> cells_;  // of the body, at its lowest cell
};

/// What a region is, judged by its bend. A slice of a curved body looks flat, but its bend is that
/// of its surroundings, and over the whole body it departs from flat by more than a rig bends a
/// plate. A face between rounded edges bends much less than its surroundings.
struct RegionShape {
  bool curved = false;       ///< so bent itself that no rig made it of a plate
  bool slice = false;        ///< of a curved body
  bool surely_flat = false;  ///< no slice, whatever its noise hides
};
RegionShape shape_of(const SceneLevel& level, const SmoothBodies& bodies, const FlatRegion& region);

}  // namespace rigproof
