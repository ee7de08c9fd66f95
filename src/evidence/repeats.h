#pragma once

#include <cstddef>
#include <vector>

#include "geometry/points.h"

namespace rigproof {

/// What the numbers of the coordinates tell. mm
struct Repeats {
  std::size_t looked_at = 0, duplicates = 0;  ///< exact repeats among the points looked at
  double step = 0;  ///< coarsest rounding of an axis, 0 where it is that of the scalar type
};

/// Duplicates are counted among points chosen by their coordinates, so that both of a pair are
/// chosen or none. Rounding is found where it lies along the axes of the sensor frame.
Repeats repeats(const Points& points);

/// A step that all values are multiples apart of, 0 without one. `exactness` is the rounding of the
/// scalar type.
double common_step(std::vector<double> values, double exactness);

}  // namespace rigproof
