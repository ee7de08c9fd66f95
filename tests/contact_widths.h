// Widths of minimum zones from their contacts alone, in closed form: what a calculator makes of the
// points that a zone rests on. Nothing of the program beyond its vectors.
#pragma once

#include <vector>

#include <Eigen/Dense>

namespace rigproof::contacts {

using Vec3 = Eigen::Vector3d;

/// Four points: three against one, or two against two. The normal is across the three, or across
/// both pairs. NaN for any other number.
inline double width_of_planes(const std::vector<Vec3>& low, const std::vector<Vec3>& high) {
  const auto& side = low.size() >= high.size() ? low : high;
  const auto& other = low.size() >= high.size() ? high : low;
  if (side.size() + other.size() != 4 || other.empty()) return NAN;
  const Vec3 first = side[1] - side[0];
  const Vec3 second = side.size() == 3 ? Vec3(side[2] - side[0]) : Vec3(other[1] - other[0]);
  const Vec3 n = first.cross(second);
  return std::abs(n.dot(other[0] - side[0])) / n.norm();
}

/// Five points, of which those outside are equally far from one centre and so are those inside:
/// |p − c|² = |q − c|² is linear in c, and five points on two spheres give three such equations.
/// NaN for any other number.
inline double width_of_shell(const std::vector<Vec3>& inner, const std::vector<Vec3>& outer) {
  if (inner.size() + outer.size() != 5 || inner.empty() || outer.empty()) return NAN;
  const Vec3 origin = outer[0];  // small numbers lose no digits in the squares
  Eigen::Matrix3d rows;
  Vec3 right;
  int k = 0;
  for (const auto* side : {&inner, &outer})
    for (std::size_t i = 1; i < side->size(); ++i, ++k) {
      const Vec3 p = (*side)[0] - origin, q = (*side)[i] - origin;
      rows.row(k) = 2 * (q - p).transpose();
      right[k] = q.squaredNorm() - p.squaredNorm();
    }
  const Vec3 c = rows.colPivHouseholderQr().solve(right);
  return (outer[0] - origin - c).norm() - (inner[0] - origin - c).norm();
}

}  // namespace rigproof::contacts
