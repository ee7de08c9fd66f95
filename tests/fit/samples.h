#pragma once

#include <cmath>
#include <numbers>
#include <random>
#include <vector>

#include <Eigen/Geometry>

#include "geometry/points.h"
#include "geometry/shapes.h"

// Point sets with known answers for the tests of fitting. Seeds are fixed.
namespace rigproof::samples {

using Random = std::mt19937_64;

inline double uniform(Random& g, double lo, double hi) {
  return lo + (hi - lo) * (static_cast<double>(g() >> 11) * 0x1.0p-53);
}

// Box–Muller, because the standard library's normal distribution is not the same everywhere.
inline double normal(Random& g) {
  const double u = 1 - uniform(g, 0, 1);
  const double v = uniform(g, 0, 1);
  return std::sqrt(-2 * std::log(u)) * std::cos(2 * std::numbers::pi * v);
}

// One draw a statement: the order of function arguments is the compiler's.
inline Vec3 normal3(Random& g) {
  Vec3 v;
  for (int k = 0; k < 3; ++k) v[k] = normal(g);
  return v;
}

inline Vec3 direction(Random& g) { return normal3(g).normalized(); }

inline RigidTransform motion(Random& g, double reach) {
  const double w = normal(g);
  const Vec3 v = normal3(g);
  const Eigen::Quaterniond q(w, v.x(), v.y(), v.z());
  return {q.normalized().toRotationMatrix(), reach * direction(g)};
}

/// A cap of the sphere about +axis, uniform by area, with independent radial noise.
inline Points cap(Random& g,
                  std::size_t n,
                  const Sphere& sphere,
                  const Vec3& axis,
                  double half_angle_deg,
                  double sigma) {
  const double c0 = std::cos(half_angle_deg * std::numbers::pi / 180);
  const Mat3 turn = Eigen::Quaterniond::FromTwoVectors(Vec3::UnitZ(), axis).toRotationMatrix();
  Points points;
  points.origin = sphere.center.array().round();
  points.reserve(n);
  for (std::size_t i = 0; i < n; ++i) {
    const double c = uniform(g, c0, 1), s = std::sqrt(1 - c * c);
    const double phi = uniform(g, 0, 2 * std::numbers::pi);
    const double r = sphere.radius + sigma * normal(g);
    points.push(sphere.center + turn * (r * Vec3(s * std::cos(phi), s * std::sin(phi), c)));
  }
  return points;
}

/// A rectangle width × height about the plane's point with independent noise along the normal.
inline Points plate(
    Random& g, std::size_t n, const Plane& plane, double width, double height, double sigma) {
  const Mat3 turn =
      Eigen::Quaterniond::FromTwoVectors(Vec3::UnitZ(), plane.normal).toRotationMatrix();
  Points points;
  points.origin = plane.point.array().round();
  points.reserve(n);
  for (std::size_t i = 0; i < n; ++i) {
    const double u = uniform(g, -0.5, 0.5) * width;
    const double v = uniform(g, -0.5, 0.5) * height;
    points.push(plane.point + turn * Vec3(u, v, sigma * normal(g)));
  }
  return points;
}

inline Points of(const std::vector<Vec3>& list) {
  Points points;
  for (const Vec3& p : list) points.push(p);
  return points;
}

inline Points moved(const Points& points, const RigidTransform& motion) {
  Points out;
  out.origin = (motion * points.origin).array().round();
  for (std::size_t i = 0; i < points.size(); ++i) out.push(motion * points.at(i));
  return out;
}

inline Points scaled(const Points& points, double factor) {
  Points out;
  out.origin = factor * points.origin;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const Vec3 p = factor * points.local(i);
    out.push_local(p.x(), p.y(), p.z());
  }
  return out;
}

inline Points shuffled(const Points& points, Random& g) {
  std::vector<std::size_t> order(points.size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
  for (std::size_t i = order.size(); i > 1; --i) std::swap(order[i - 1], order[g() % i]);
  Points out;
  out.origin = points.origin;
  for (std::size_t i : order) out.push_local(points.x[i], points.y[i], points.z[i]);
  return out;
}

}  // namespace rigproof::samples
