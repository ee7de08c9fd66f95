#include "locate/patch.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Geometry>

#include "base/threads.h"

namespace rigproof {
namespace {

constexpr double kLeastPoints = 5;
constexpr double kFlatness = 0.5;  // largest variance across the surface, against the smaller along
constexpr double kLineLike = 0.02;  // least ratio of the two variances along the surface

/// The same sums about their mean, divided by n.
CellMoments about_mean(const CellMoments& sums, Vec3& mean) {
  mean = sums.q / sums.n;
  CellMoments central;
  central.add_moved(sums, -mean);
  const double w = 1 / sums.n;
  for (double* v :
       {&central.xx, &central.xy, &central.xz, &central.yy, &central.yz, &central.zz, &central.q4})
    *v *= w;
  central.q2q *= w;
  return central;
}

/// The least eigenvalue of a positive semidefinite matrix of trace 1, and its unit vector; false
/// when it is not simple. Newton's iteration on the characteristic polynomial climbs from 0 and
/// never passes the least root.
bool least_axis(const Mat3& m, double& value, Vec3& axis) {
  constexpr int kMostSteps = 30;
  constexpr double kSettled = 1e-15, kSimple = 1e-12;
  const Vec3 r0 = m.row(0), r1 = m.row(1), r2 = m.row(2);
  const double minors =
      r0[0] * r1[1] - r0[1] * r0[1] + r0[0] * r2[2] - r0[2] * r0[2] + r1[1] * r2[2] - r1[2] * r1[2];
  const double determinant = r0.dot(r1.cross(r2));
  value = 0;
  for (int i = 0; i < kMostSteps; ++i) {
    const double slope = (3 * value - 2) * value + minors;
    const double step = (((value - 1) * value + minors) * value - determinant) / slope;
    if (!(slope > 0) || !(step < -kSettled)) break;
    value -= step;
  }
  // The rows of m − value·1 span the plane across the axis; their longest product tells it best.
  const Vec3 a = r0 - value * Vec3::UnitX(), b = r1 - value * Vec3::UnitY();
  const Vec3 c = r2 - value * Vec3::UnitZ();
  const Vec3 products[3] = {a.cross(b), b.cross(c), c.cross(a)};
  const auto longest = std::ranges::max_element(products, {}, &Vec3::squaredNorm);
  const double length = longest->norm();
  if (!(length > kSimple)) return false;
  axis = *longest / length;
  value = std::max(0.0, axis.dot(m * axis));  // exact to second order in the axis
  return true;
}

Patch patch_of(const CellGrid& grid, std::size_t cell) {
  const CellMoments sums = grid.pooled(cell);
  if (sums.n < kLeastPoints) return {};
  Vec3 mean;
  const CellMoments m = about_mean(sums, mean);
  const Mat3 second = m.second();
  const double s = second.trace();
  double least = 0;
  Vec3 normal;
  if (!(s > 0) || !least_axis(second / s, least, normal)) return {};
  const double across = s * least;  // variance
  // Along the surface: the 2×2 matrix in a frame of the plane.
  const Vec3 u = normal.unitOrthogonal(), v = normal.cross(u);
  const double uu = u.dot(second * u), uv = u.dot(second * v), vv = v.dot(second * v);
  const double half = 0.5 * (uu + vv), apart = std::sqrt(0.25 * (uu - vv) * (uu - vv) + uv * uv);
  if (!(across <= kFlatness * (half - apart)) || half - apart < kLineLike * (half + apart))
    return {};

  const double edge = grid.edge();
  Patch patch;
  patch.n = sums.n;
  patch.mean = grid.block_middle(cell) + edge * mean;
  patch.normal = normal;
  patch.spread = 2 * half * edge * edge;

  // cov(|q|², q) in the frame of the patch: w across, tu and tv along.
  const double w = normal.dot(m.q2q), tu = u.dot(m.q2q), tv = v.dot(m.q2q);
  const double along = (vv * tu * tu - 2 * uv * tu * tv + uu * tv * tv) / (uu * vv - uv * uv);
  const double var_w = std::max(m.q4 - s * s - along, 1e-4 * s * s);
  const double bend = w / var_w;
  // Squares of coordinates up to four edges, some 30 times the patch size squared, lose this much.
  const double noise2 = std::max(across - w * bend, 1e-14 * s);
  const double freedom = std::max(sums.n - 4, 1.0);  // plane and bend are taken out
  patch.noise = edge * std::sqrt(noise2 * sums.n / freedom);
  patch.bend = bend / edge;
  patch.u_bend = std::sqrt(noise2 / (freedom * var_w)) / edge;
  return patch;
}

}  // namespace

std::vector<Patch> make_patches(const CellGrid& grid, int threads) {
  constexpr std::size_t kChunk = 1024;
  std::vector<Patch> patches(grid.size());
  parallel_blocks((grid.size() + kChunk - 1) / kChunk, threads, [&](std::size_t b, int) {
    for (std::size_t c = b * kChunk; c < std::min(grid.size(), (b + 1) * kChunk); ++c)
      patches[c] = patch_of(grid, c);
  });
  return patches;
}

}  // namespace rigproof
