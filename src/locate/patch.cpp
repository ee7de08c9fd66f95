#include "locate/patch.h"

#include <algorithm>
#include <cmath>

#include "base/threads.h"
#include "fit/decompose.h"

namespace rigproof {
namespace {

constexpr double kLeastPoints = 5;
constexpr double kFlatness = 0.5;  // largest variance across the surface, against the smaller along
constexpr double kLineLike = 0.02;  // least ratio of the two variances along the surface

CellMoments pooled(const CellGrid& grid, std::size_t cell) {
  CellMoments sum;
  grid.for_neighbours(cell, [&](std::size_t other, int dx, int dy, int dz) {
    sum.add_moved(grid.moments(other), Vec3(dx, dy, dz));
  });
  return sum;
}

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

Patch patch_of(const CellGrid& grid, std::size_t cell) {
  const CellMoments sums = pooled(grid, cell);
  if (sums.n < kLeastPoints) return {};
  Vec3 mean;
  const CellMoments m = about_mean(sums, mean);
  const PrincipalAxes principal = principal_axes(m.second());
  const Vec3 var = principal.values.cwiseMax(0);
  if (!(var[0] <= kFlatness * var[1]) || var[1] < kLineLike * var[2]) return {};

  const double edge = grid.edge();
  Patch patch;
  patch.n = sums.n;
  patch.mean = grid.middle(cell) + edge * mean;
  patch.normal = principal.axes.col(0);
  patch.spread = (var[1] + var[2]) * edge * edge;

  const Vec3 third = principal.axes.transpose() * m.q2q;  // cov(|q|², q) in the patch frame
  const double s = var.sum();
  double var_w = m.q4 - s * s - third[1] * third[1] / var[1] - third[2] * third[2] / var[2];
  var_w = std::max(var_w, 1e-4 * s * s);
  const double bend = third[0] / var_w;
  // Squared coordinates in single units lose about 1e-15 of the patch size squared.
  const double noise2 = std::max(var[0] - third[0] * bend, 1e-15 * s);
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
