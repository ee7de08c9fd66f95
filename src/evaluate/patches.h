#pragma once

#include <optional>
#include <vector>

#include "fit/fit.h"

namespace rigproof {

/// A cap cut into patches of equal solid angle; azimuth counts from the frame's X axis.
struct CapPatches {
  Vec3 axis = -Vec3::UnitZ();
  double half_angle_deg = 60;
  std::vector<int> rings{1, 8, 16};  ///< patches in each ring, from the middle outwards
};

/// The points of one patch: their mean direction and mean radius as one point.
struct PatchMean {
  Vec3 point = Vec3::Zero();  ///< mm
  std::size_t points = 0;
};

/// The sphere through the means, and the means themselves: rings from the middle, azimuth growing.
struct PatchFit {
  std::vector<PatchMean> means;
  SphereFit fit;
};

/// One mean for each patch about the centre of `fit`. nullopt when a patch is empty.
std::optional<std::vector<PatchMean>> patch_means(const Points& points,
                                                  const Sphere& fit,
                                                  const CapPatches& patches);
/// nullopt when a patch is empty or the fit fails.
std::optional<PatchFit> patch_fit(const Points& points,
                                  const Sphere& fit,
                                  const CapPatches& patches);

}  // namespace rigproof
