// geometry: values only. Spheres, planes, boxes, rigid motions, the measuring volume and its zones.
// Enters: numbers in millimetres. Leaves: the same. No input, no output, no state.
#pragma once

#include <cstddef>

#include <Eigen/Core>

#include "base/fresh_memory.h"

namespace rigproof {

using Vec3 = Eigen::Vector3d;
using Mat3 = Eigen::Matrix3d;

/// Points in mm about a local origin, one array a coordinate. Coordinates are kept relative to
/// `origin` so that sums of squares lose nothing far from the sensor (a sphere model in float at
/// 600 mm is off by 30–110 µm; in double about a near origin by less than 1e-9 µm).
struct Points {
  Vec3 origin = Vec3::Zero();
  FreshVector<double> x, y, z;  // relative to origin, same length; resize() gives no values

  std::size_t size() const { return x.size(); }
  bool empty() const { return x.empty(); }
  Vec3 local(std::size_t i) const { return {x[i], y[i], z[i]}; }
  Vec3 at(std::size_t i) const { return origin + local(i); }

  void push_local(double px, double py, double pz) {
    x.push_back(px);
    y.push_back(py);
    z.push_back(pz);
  }
  void push(const Vec3& p) {
    push_local(p.x() - origin.x(), p.y() - origin.y(), p.z() - origin.z());
  }
  void reserve(std::size_t n) {
    x.reserve(n);
    y.reserve(n);
    z.reserve(n);
  }
};

}  // namespace rigproof
