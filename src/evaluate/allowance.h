#pragma once

#include <cstddef>
#include <vector>

#include "geometry/points.h"

namespace rigproof {

/// As largest_residuals of fit/ (points of largest |residual|, ties by index), but only the few
/// points above an estimated threshold are sorted.
std::vector<std::size_t> select_largest(const std::vector<double>& residuals, std::size_t count);

/// Range of the residuals after floor(share · n) of largest |residual| are taken out.
double kept_range(const std::vector<double>& residuals, double share);

/// Variance of a fit once the share of largest |residual| of a first fit was left out, over that of
/// a fit of as many points chosen without looking: the window of what stays moves with the first
/// fit. With q = 2cφ(c), c the normal quantile of 1 − share/2:
/// ((1 − share − q)(1 + 2q) + q²) / (1 − share); 1.028 at 0.3 %.
double trimming_loss(double share);

/// Takes the named points out of `points` while it lives: each is overwritten by one from the end,
/// so that nothing is copied. `indices` ascending and distinct.
class LeftOut {
 public:
  LeftOut(Points& points, const std::vector<std::size_t>& indices);
  ~LeftOut();
  LeftOut(const LeftOut&) = delete;
  LeftOut& operator=(const LeftOut&) = delete;

 private:
  struct Moved {
    std::size_t at;
    double x, y, z;
  };
  Points& points_;
  std::vector<Moved> overwritten_, tail_;
};

}  // namespace rigproof
