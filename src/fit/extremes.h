#pragma once

#include <cstddef>
#include <vector>

#include "fit/residual_blocks.h"

namespace rigproof {

/// The points of a set that lie beyond a zone, enough of them to grow a working set by.
struct Extremes {
  double min = 0, max = 0;          ///< over all points, mm
  std::vector<std::size_t> beyond;  ///< the farthest out first on each side, ties by index
};

/// One pass: range of the residuals about `shape`, and of every 512 points the one farthest above
/// `high` and the one farthest below `low`, at most `count` a side. Points must not be empty.
Extremes extremes(const Points& points,
                  ResidualFunction function,
                  const double* shape,
                  double low,
                  double high,
                  std::size_t count,
                  int threads = 0);

}  // namespace rigproof
