#pragma once

// Triangulation written a second time, without anything of the optics room: plain arrays, a frame
// with Y up, cameras as rotation matrices, and the point nearest to both rays from the 3 × 3 normal
// equations Σ (I − d dᵀ) p = Σ (I − d dᵀ) c by Cramer's rule. A mistake in one of the two cannot
// cancel in the other.

#include <array>
#include <cmath>

namespace plain {

using V = std::array<double, 3>;
using M = std::array<V, 3>;

inline M times(const M& a, const M& b) {
  M c{};
  for (int i = 0; i < 3; ++i)
    for (int j = 0; j < 3; ++j)
      for (int k = 0; k < 3; ++k) c[i][j] += a[i][k] * b[k][j];
  return c;
}
inline M rx(double t) {
  return {V{1, 0, 0}, V{0, std::cos(t), -std::sin(t)}, V{0, std::sin(t), std::cos(t)}};
}
inline M ry(double t) {
  return {V{std::cos(t), 0, std::sin(t)}, V{0, 1, 0}, V{-std::sin(t), 0, std::cos(t)}};
}
inline M rz(double t) {
  return {V{std::cos(t), -std::sin(t), 0}, V{std::sin(t), std::cos(t), 0}, V{0, 0, 1}};
}

struct Cam {
  V center{};
  M rotation{};  // camera to world
  double f = 0, cx = 0, cy = 0, k = 0;
};
struct Pair {
  Cam left, right;
};

inline std::array<double, 2> see(const Cam& c, const V& p) {
  double q[3] = {};
  for (int i = 0; i < 3; ++i)
    for (int j = 0; j < 3; ++j) q[i] += c.rotation[j][i] * (p[j] - c.center[j]);
  return {c.f * q[0] / q[2] + c.cx, c.f * q[1] / q[2] + c.cy};
}

inline V sight(const Cam& c, const std::array<double, 2>& px) {
  double x = (px[0] - c.cx) / c.f, y = (px[1] - c.cy) / c.f;
  const double s = 1 + c.k * (x * x + y * y);
  x *= s;
  y *= s;
  V d{};
  for (int i = 0; i < 3; ++i) d[i] = c.rotation[i][0] * x + c.rotation[i][1] * y + c.rotation[i][2];
  const double n = std::sqrt(d[0] * d[0] + d[1] * d[1] + d[2] * d[2]);
  return {d[0] / n, d[1] / n, d[2] / n};
}

inline double det(const M& m) {
  return m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1]) -
         m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0]) +
         m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0]);
}

inline V measured(const Pair& truth, const Pair& belief, const V& p) {
  M a{};
  V b{};
  const Cam* see_with[2] = {&truth.left, &truth.right};
  const Cam* believe_in[2] = {&belief.left, &belief.right};
  for (int cam = 0; cam < 2; ++cam) {
    const V d = sight(*believe_in[cam], see(*see_with[cam], p));
    for (int i = 0; i < 3; ++i)
      for (int j = 0; j < 3; ++j) {
        const double w = (i == j) - d[i] * d[j];
        a[i][j] += w;
        b[i] += w * believe_in[cam]->center[j];
      }
  }
  V out{};
  for (int col = 0; col < 3; ++col) {
    M m = a;
    for (int row = 0; row < 3; ++row) m[row][col] = b[row];
    out[col] = det(m) / det(a);
  }
  return out;
}

// Distance of the two believed rays: along their common perpendicular.
inline double gap(const Pair& truth, const Pair& belief, const V& p) {
  const V a = sight(belief.left, see(truth.left, p)), b = sight(belief.right, see(truth.right, p));
  const V n{a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]};
  double along = 0, length = 0;
  for (int i = 0; i < 3; ++i) {
    along += n[i] * (belief.right.center[i] - belief.left.center[i]);
    length += n[i] * n[i];
  }
  return std::abs(along) / std::sqrt(length);
}

}  // namespace plain
