#include "fit/residual_blocks.h"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <limits>

#include "fit/blocks.h"

namespace rigproof {
namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();

RIGPROOF_MULTIVERSION
void sphere_loop(const double* x,
                 const double* y,
                 const double* z,
                 std::size_t n,
                 const double* shape,
                 double* out) {
  const double cx = shape[0], cy = shape[1], cz = shape[2], r = shape[3];
  for (std::size_t i = 0; i < n; ++i) {
    const double dx = x[i] - cx, dy = y[i] - cy, dz = z[i] - cz;
    out[i] = std::sqrt(dx * dx + dy * dy + dz * dz) - r;
  }
}

RIGPROOF_MULTIVERSION
void plane_loop(const double* x,
                const double* y,
                const double* z,
                std::size_t n,
                const double* shape,
                double* out) {
  const double px = shape[0], py = shape[1], pz = shape[2];
  const double nx = shape[3], ny = shape[4], nz = shape[5];
  for (std::size_t i = 0; i < n; ++i)
    out[i] = (x[i] - px) * nx + (y[i] - py) * ny + (z[i] - pz) * nz;
}

RIGPROOF_MULTIVERSION
void sums_loop(const double* d, std::size_t n, double* out) {
  Lanes square = {}, lo = square + kInfinity, hi = square - kInfinity, v;
  std::size_t i = 0;
  for (; i + kLanes <= n; i += kLanes) {
    std::memcpy(&v, d + i, sizeof v);
    square += v * v;
    lo = v < lo ? v : lo;
    hi = v > hi ? v : hi;
  }
  for (std::size_t l = 0; i < n; ++i, ++l) {
    square[l] += d[i] * d[i];
    lo[l] = std::min(lo[l], d[i]);
    hi[l] = std::max(hi[l], d[i]);
  }
  out[0] = ((square[0] + square[1]) + (square[2] + square[3])) +
           ((square[4] + square[5]) + (square[6] + square[7]));
  out[1] = lo[0];
  out[2] = hi[0];
  for (std::size_t l = 1; l < kLanes; ++l) {
    out[1] = std::min(out[1], lo[l]);
    out[2] = std::max(out[2], hi[l]);
  }
}

}  // namespace

void sphere_residual_block(const double* x,
                           const double* y,
                           const double* z,
                           std::size_t n,
                           const double* shape,
                           double* out) {
  sphere_loop(x, y, z, n, shape, out);
}

void plane_residual_block(const double* x,
                          const double* y,
                          const double* z,
                          std::size_t n,
                          const double* shape,
                          double* out) {
  plane_loop(x, y, z, n, shape, out);
}

std::array<double, 4> local_shape(const Points& points, const Sphere& sphere) {
  const Vec3 c = sphere.center - points.origin;
  return {c.x(), c.y(), c.z(), sphere.radius};
}

std::array<double, 6> local_shape(const Points& points, const Plane& plane) {
  const Vec3 p = plane.point - points.origin, &n = plane.normal;
  return {p.x(), p.y(), p.z(), n.x(), n.y(), n.z()};
}

ResidualSums residual_sums(const double* d, std::size_t n) {
  double s[3];
  sums_loop(d, n, s);
  return {s[0], s[1], s[2]};
}

}  // namespace rigproof
