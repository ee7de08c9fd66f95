#pragma once

#include "geometry/points.h"

namespace rigproof {

/// Sums over the points of a cell, q measured from the cell's centre in units of its edge. They
/// add up over neighbouring and child cells, so that a surface patch of any size costs no second
/// look at the points.
struct CellMoments {
  double n = 0;
  Vec3 q = Vec3::Zero();                                  ///< Σ q
  double xx = 0, xy = 0, xz = 0, yy = 0, yz = 0, zz = 0;  ///< Σ q qᵀ
  Vec3 q2q = Vec3::Zero();                                ///< Σ |q|² q
  double q4 = 0;                                          ///< Σ |q|⁴

  void add(double x, double y, double z) {
    const double s = x * x + y * y + z * z;
    n += 1;
    q += Vec3(x, y, z);
    xx += x * x;
    xy += x * y;
    xz += x * z;
    yy += y * y;
    yz += y * z;
    zz += z * z;
    q2q += s * Vec3(x, y, z);
    q4 += s * s;
  }
  /// Adds `o`, whose centre lies at `t` in this cell's units and whose edge is `scale` times ours.
  void add_moved(const CellMoments& o, const Vec3& t, double scale = 1);
  Mat3 second() const { return (Mat3() << xx, xy, xz, xy, yy, yz, xz, yz, zz).finished(); }
};

}  // namespace rigproof
