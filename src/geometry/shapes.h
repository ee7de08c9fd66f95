#pragma once

#include "geometry/points.h"

namespace rigproof {

struct Sphere {
  Vec3 center = Vec3::Zero();  ///< mm
  double radius = 0;           ///< mm

  /// Signed radial deviation, positive outside. mm
  double deviation(const Vec3& p) const { return (p - center).norm() - radius; }
};

/// A plane through `point` with unit `normal`; the normal looks towards the sensor where one is
/// known, so that a positive deviation stands proud of the surface.
struct Plane {
  Vec3 point = Vec3::Zero();
  Vec3 normal = Vec3::UnitZ();

  /// Signed orthogonal distance. mm
  double deviation(const Vec3& p) const { return normal.dot(p - point); }
};

/// p -> rotation * p + translation, determinant +1.
struct RigidTransform {
  Mat3 rotation = Mat3::Identity();
  Vec3 translation = Vec3::Zero();

  Vec3 operator*(const Vec3& p) const { return rotation * p + translation; }
  RigidTransform inverse() const {
    return {rotation.transpose(), -(rotation.transpose() * translation)};
  }
};

/// Axis-aligned box; empty while lo > hi.
struct Box {
  Vec3 lo = Vec3::Constant(1e300);
  Vec3 hi = Vec3::Constant(-1e300);

  bool empty() const { return (lo.array() > hi.array()).any(); }
  void add(const Vec3& p) {
    lo = lo.cwiseMin(p);
    hi = hi.cwiseMax(p);
  }
  bool contains(const Vec3& p) const {
    return (p.array() >= lo.array()).all() && (p.array() <= hi.array()).all();
  }
  bool meets(const Box& o) const {
    return (lo.array() <= o.hi.array()).all() && (o.lo.array() <= hi.array()).all();
  }
};

}  // namespace rigproof
