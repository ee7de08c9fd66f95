#pragma once

#include "geometry/points.h"

namespace rigproof {

/// Sums over the points of a cell, q in units of its edge from a place that the cells about it
/// share, so that they add up: a surface patch of any size costs no second look at the points.
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
  void add(const CellMoments& o) {  // about the same place
    n += o.n;
    q += o.q;
    xx += o.xx;
    xy += o.xy;
    xz += o.xz;
    yy += o.yy;
    yz += o.yz;
    zz += o.zz;
    q2q += o.q2q;
    q4 += o.q4;
  }
  /// Adds `o`, in units of the same edge, whose place lies at `t` from ours.
  void add_moved(const CellMoments& o, const Vec3& t);
  /// The same points in units of an edge 1/`scale` times ours.
  CellMoments scaled(double scale) const;
  Mat3 second() const { return (Mat3() << xx, xy, xz, xy, yy, yz, xz, yz, zz).finished(); }
};

}  // namespace rigproof
