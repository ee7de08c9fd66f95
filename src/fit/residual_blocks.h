#pragma once

#include <array>
#include <cstddef>

#include "geometry/points.h"
#include "geometry/shapes.h"

namespace rigproof {

/// Signed residuals of a run of `n` points about `shape` into `out`. mm
using ResidualFunction = void (*)(const double* x,
                                  const double* y,
                                  const double* z,
                                  std::size_t n,
                                  const double* shape,
                                  double* out);

/// shape: cx, cy, cz, r in the frame of the points.
void sphere_residual_block(const double* x,
                           const double* y,
                           const double* z,
                           std::size_t n,
                           const double* shape,
                           double* out);
/// shape: a point of the plane in the frame of the points, then its unit normal.
void plane_residual_block(const double* x,
                          const double* y,
                          const double* z,
                          std::size_t n,
                          const double* shape,
                          double* out);

std::array<double, 4> local_shape(const Points& points, const Sphere& sphere);
std::array<double, 6> local_shape(const Points& points, const Plane& plane);

struct ResidualSums {
  double square = 0, min = 0, max = 0;
};
/// Σd², least and largest of n ≥ 1 values.
ResidualSums residual_sums(const double* d, std::size_t n);

}  // namespace rigproof
