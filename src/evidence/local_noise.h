#pragma once

#include <vector>

#include "evidence/seen_surface.h"

namespace rigproof {

/// Noise in one small patch, its tilt taken out. mm
struct PatchNoise {
  Vec3 place = Vec3::Zero();
  double sd = 0;      ///< along the line of sight, of 68 % of the points
  double cosine = 1;  ///< of incidence
};

/// Scatter of points about their neighbours.
struct LocalNoise {
  std::vector<PatchNoise> patches;
  double sd = 0;  ///< median over the patches; 0 without any
  /// Standard deviation of second differences along rows of neighbours, over √6 of that of the
  /// residuals: 1 for independent points, less the more neighbours share (method, section 8).
  double second_difference_ratio = 0;
  std::size_t second_differences = 0;
  /// Where most patches hold two layers, distance of the layers along the line of sight and over
  /// the scatter of each; 0 where they hold one.
  double shell_distance = 0, shell_separation = 0;
};

LocalNoise local_noise(const SeenSurface& surface);

/// Two layers in one set of values: the split of largest variance between its parts (Otsu, IEEE
/// Trans. SMC 9 (1979) 62), with few values half-way. Independent of the order.
struct Layers {
  double distance = 0;    ///< of the two means
  double separation = 0;  ///< over the standard deviation within
  double half_way = 1;    ///< share of the values in the middle 30 % between the means
  double smaller = 0;     ///< share of the smaller part
  bool two() const { return separation > 4 && half_way < 0.08 && smaller > 0.1; }
};
Layers layers(std::vector<double> values);

}  // namespace rigproof
