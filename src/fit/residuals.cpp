#include "fit/residuals.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <limits>
#include <numeric>

#include "fit/blocks.h"

namespace rigproof {
namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();
constexpr std::size_t kChunk = 512;

// shape: cx, cy, cz, r in the frame of the points.
RIGPROOF_MULTIVERSION
void sphere_block(const double* x,
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

// shape: a point of the plane, then its normal.
RIGPROOF_MULTIVERSION
void plane_block(const double* x,
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

struct Stats {
  double square = 0, min = kInfinity, max = -kInfinity;
  Stats& operator+=(const Stats& o) {
    square += o.square;
    min = std::min(min, o.min);
    max = std::max(max, o.max);
    return *this;
  }
};

RIGPROOF_MULTIVERSION
void stats_block(const double* d, std::size_t n, double* out) {
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

Stats stats_of(const double* d, std::size_t n) {
  double s[3];
  stats_block(d, n, s);
  return {s[0], s[1], s[2]};
}

using BlockFunction =
    void (*)(const double*, const double*, const double*, std::size_t, const double*, double*);

std::array<double, 4> local(const Points& points, const Sphere& sphere) {
  const Vec3 c = sphere.center - points.origin;
  return {c.x(), c.y(), c.z(), sphere.radius};
}

std::array<double, 6> local(const Points& points, const Plane& plane) {
  const Vec3 p = plane.point - points.origin, &n = plane.normal;
  return {p.x(), p.y(), p.z(), n.x(), n.y(), n.z()};
}

ResidualStats named(const Stats& s, std::size_t n) {
  if (n == 0) return {};
  return {n, std::sqrt(s.square / static_cast<double>(n)), s.min, s.max};
}

std::vector<double> residuals(const Points& points,
                              BlockFunction function,
                              const double* shape,
                              int threads) {
  std::vector<double> d(points.size());
  for_blocks(points.size(), threads, [&](std::size_t begin, std::size_t end, std::size_t) {
    function(&points.x[begin], &points.y[begin], &points.z[begin], end - begin, shape, &d[begin]);
  });
  return d;
}

ResidualStats stats(const Points& points,
                    BlockFunction function,
                    const double* shape,
                    int threads) {
  const auto sum = [&](std::size_t begin, std::size_t end) {
    double d[kChunk];
    Stats block;
    for (std::size_t i = begin; i < end; i += kChunk) {
      const std::size_t count = std::min(kChunk, end - i);
      function(&points.x[i], &points.y[i], &points.z[i], count, shape, d);
      block += stats_of(d, count);
    }
    return block;
  };
  return named(sum_blocks<Stats>(points.size(), threads, sum), points.size());
}

}  // namespace

std::vector<double> sphere_residuals(const Points& points, const Sphere& sphere, int threads) {
  return residuals(points, sphere_block, local(points, sphere).data(), threads);
}

std::vector<double> plane_residuals(const Points& points, const Plane& plane, int threads) {
  return residuals(points, plane_block, local(points, plane).data(), threads);
}

ResidualStats sphere_residual_stats(const Points& points, const Sphere& sphere, int threads) {
  return stats(points, sphere_block, local(points, sphere).data(), threads);
}

ResidualStats plane_residual_stats(const Points& points, const Plane& plane, int threads) {
  return stats(points, plane_block, local(points, plane).data(), threads);
}

ResidualStats residual_stats(const std::vector<double>& residuals) {
  const auto sum = [&](std::size_t begin, std::size_t end) {
    Stats block;
    for (std::size_t i = begin; i < end; i += kChunk)
      block += stats_of(&residuals[i], std::min(kChunk, end - i));
    return block;
  };
  return named(sum_blocks<Stats>(residuals.size(), 1, sum), residuals.size());
}

FlatnessParameters flatness_parameters(const ResidualStats& about_plane) {
  return {about_plane.range(), about_plane.max, -about_plane.min, about_plane.rms};
}

std::size_t allowance(double share, std::size_t n) {
  if (!(share > 0)) return 0;
  const double product = share * static_cast<double>(n);
  const double whole = std::round(product);
  const double count =
      std::abs(product - whole) <= 1e-12 * (1 + product) ? whole : std::floor(product);
  return count < static_cast<double>(n) ? static_cast<std::size_t>(count) : n;
}

std::vector<std::size_t> largest_residuals(const std::vector<double>& residuals,
                                           std::size_t count) {
  count = std::min(count, residuals.size());
  std::vector<std::size_t> index(residuals.size());
  std::iota(index.begin(), index.end(), std::size_t{0});
  const auto larger = [&](std::size_t a, std::size_t b) {
    const double da = std::abs(residuals[a]), db = std::abs(residuals[b]);
    return da != db ? da > db : a < b;
  };
  if (count < index.size())
    std::nth_element(
        index.begin(), index.begin() + static_cast<std::ptrdiff_t>(count), index.end(), larger);
  index.resize(count);
  std::ranges::sort(index);
  return index;
}

}  // namespace rigproof
