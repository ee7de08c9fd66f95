#include "fit/residuals.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "fit/blocks.h"
#include "fit/residual_blocks.h"

namespace rigproof {
namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();
constexpr std::size_t kChunk = 512;  // residuals that stay in the first-level cache

struct Total {
  double square = 0, min = kInfinity, max = -kInfinity;
  Total& operator+=(const Total& o) {
    square += o.square;
    min = std::min(min, o.min);
    max = std::max(max, o.max);
    return *this;
  }
  void add(const double* d, std::size_t n) {
    const ResidualSums s = residual_sums(d, n);
    *this += Total{s.square, s.min, s.max};
  }
};

ResidualStats named(const Total& t, std::size_t n) {
  if (n == 0) return {};
  return {n, std::sqrt(t.square / static_cast<double>(n)), t.min, t.max};
}

std::vector<double> residuals(const Points& points,
                              ResidualFunction function,
                              const double* shape,
                              int threads) {
  std::vector<double> d(points.size());
  for_blocks(points.size(), threads, [&](std::size_t begin, std::size_t end, std::size_t) {
    function(&points.x[begin], &points.y[begin], &points.z[begin], end - begin, shape, &d[begin]);
  });
  return d;
}

ResidualStats stats(const Points& points,
                    ResidualFunction function,
                    const double* shape,
                    int threads) {
  const auto sum = [&](std::size_t begin, std::size_t end) {
    double d[kChunk];
    Total block;
    for (std::size_t i = begin; i < end; i += kChunk) {
      const std::size_t count = std::min(kChunk, end - i);
      function(&points.x[i], &points.y[i], &points.z[i], count, shape, d);
      block.add(d, count);
    }
    return block;
  };
  return named(sum_blocks<Total>(points.size(), threads, sum), points.size());
}

}  // namespace

std::vector<double> sphere_residuals(const Points& points, const Sphere& sphere, int threads) {
  return residuals(points, sphere_residual_block, local_shape(points, sphere).data(), threads);
}

std::vector<double> plane_residuals(const Points& points, const Plane& plane, int threads) {
  return residuals(points, plane_residual_block, local_shape(points, plane).data(), threads);
}

ResidualStats sphere_residual_stats(const Points& points, const Sphere& sphere, int threads) {
  return stats(points, sphere_residual_block, local_shape(points, sphere).data(), threads);
}

ResidualStats plane_residual_stats(const Points& points, const Plane& plane, int threads) {
  return stats(points, plane_residual_block, local_shape(points, plane).data(), threads);
}

ResidualStats residual_stats(const std::vector<double>& residuals) {
  const auto sum = [&](std::size_t begin, std::size_t end) {
    Total block;
    for (std::size_t i = begin; i < end; i += kChunk)
      block.add(&residuals[i], std::min(kChunk, end - i));
    return block;
  };
  return named(sum_blocks<Total>(residuals.size(), 1, sum), residuals.size());
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
