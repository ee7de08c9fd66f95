#pragma once

#include <cmath>
#include <cstdint>
#include <limits>
#include <optional>
#include <random>
#include <vector>

#include <Eigen/Geometry>

#include "geometry/points.h"
#include "geometry/shapes.h"

namespace rigproof::testing_scenes {

/// Uniform in [0, 1) and standard normal from a fixed generator, the same with every compiler.
class Random {
 public:
  explicit Random(std::uint64_t seed) : engine_(seed * 2654435761u + 12345) {}
  double uniform(double lo = 0, double hi = 1) {
    return lo + (hi - lo) * static_cast<double>(engine_() >> 11) * 0x1p-53;
  }
  double normal() {
    const double u = 1 - uniform(), v = uniform();
    return std::sqrt(-2 * std::log(u)) * std::cos(2 * M_PI * v);
  }
  Vec3 direction() {
    const double z = uniform(-1, 1), a = uniform(0, 2 * M_PI), s = std::sqrt(1 - z * z);
    return {s * std::cos(a), s * std::sin(a), z};
  }
  std::size_t below(std::size_t n) { return static_cast<std::size_t>(uniform() * n); }

 private:
  std::mt19937_64 engine_;
};

struct Ball {
  Sphere sphere;
  /// Only this cap answers; the rest of the ball is saturated or shaded. 180: all of it.
  Vec3 axis = -Vec3::UnitZ();
  double cap_deg = 180;
};

/// A scene of ideal surfaces before a camera at the origin that looks along +Z, scanned ray by ray
/// with occlusion: an independent little ray caster, written for these tests alone.
class VirtualTable {
 public:
  struct Box {
    RigidTransform pose;  // box axes to scene
    Vec3 half;
  };
  struct Cylinder {
    Vec3 from, to;
    double radius;
  };
  std::vector<Ball> balls;
  std::vector<Box> boxes;
  std::vector<Cylinder> cylinders;
  std::vector<Plane> planes;

  struct View {
    int columns = 200, rows = 160;
    double half_width = 0.3, half_height = 0.24;  // tangents
    double noise_mm = 0.05;                       // along the ray
    double outliers = 0;                          // share, anywhere before the scene's back
    double flying = 0;                            // share of points at an edge pulled off it
  };

  Points scan(const View& view, Random& random) const {
    Points points;
    points.origin = {0, 0, 600};
    std::vector<double> depth(static_cast<std::size_t>(view.columns) * view.rows,
                              std::numeric_limits<double>::infinity());
    const auto ray = [&](int c, int r) {
      return Vec3(((c + 0.5) / view.columns * 2 - 1) * view.half_width,
                  ((r + 0.5) / view.rows * 2 - 1) * view.half_height,
                  1)
          .normalized();
    };
    for (int r = 0; r < view.rows; ++r)
      for (int c = 0; c < view.columns; ++c) depth[r * view.columns + c] = cast(ray(c, r));
    for (int r = 0; r < view.rows; ++r)
      for (int c = 0; c < view.columns; ++c) {
        double t = depth[r * view.columns + c];
        if (!std::isfinite(t)) continue;
        if (c > 0 && random.uniform() < view.flying) {
          const double left = depth[r * view.columns + c - 1];
          if (std::isfinite(left) && std::abs(left - t) > 5 * view.noise_mm)
            t += random.uniform() * (left - t);
        }
        if (random.uniform() < view.outliers) t *= random.uniform(0.6, 1.05);
        points.push(ray(c, r) * (t + view.noise_mm * random.normal()));
      }
    return points;
  }

 private:
  static constexpr double kMiss = std::numeric_limits<double>::infinity();

  /// Distance to the first surface along a unit ray from the origin; a shaded ball gives none.
  double cast(const Vec3& d) const {
    double best = kMiss;
    bool shaded = false;
    for (const Plane& p : planes)
      take(best,
           shaded,
           grazing(p.normal, d) ? kMiss : p.normal.dot(p.point) / p.normal.dot(d),
           false);
    for (const Ball& b : balls) {
      const double along = d.dot(b.sphere.center);
      const double h2 = b.sphere.center.squaredNorm() - along * along;
      const double r2 = b.sphere.radius * b.sphere.radius;
      if (h2 >= r2) continue;
      const double t = along - std::sqrt(r2 - h2);
      const Vec3 n = (t * d - b.sphere.center) / b.sphere.radius;
      const bool dark = n.dot(b.axis) < std::cos(b.cap_deg * M_PI / 180) || grazing(n, d);
      take(best, shaded, t, dark);
    }
    for (const Cylinder& c : cylinders) take_cylinder(best, shaded, c, d);
    for (const Box& b : boxes) take_box(best, shaded, b, d);
    return shaded ? kMiss : best;
  }
  static bool grazing(const Vec3& normal, const Vec3& d) { return std::abs(normal.dot(d)) < 0.15; }
  static void take(double& best, bool& shaded, double t, bool dark) {
    if (t > 1e-9 && t < best) {
      best = t;
      shaded = dark;
    }
  }
  static void take_cylinder(double& best, bool& shaded, const Cylinder& c, const Vec3& d) {
    const double length = (c.to - c.from).norm();
    const Vec3 a = (c.to - c.from) / length;
    const Vec3 dp = d - d.dot(a) * a, op = -c.from + c.from.dot(a) * a;
    const double qa = dp.squaredNorm(), qb = dp.dot(op),
                 qc = op.squaredNorm() - c.radius * c.radius;
    const double disc = qb * qb - qa * qc;
    if (disc > 0 && qa > 1e-12) {
      const double t = (-qb - std::sqrt(disc)) / qa, s = a.dot(t * d - c.from);
      if (s >= 0 && s <= length) take(best, shaded, t, false);
    }
    for (const Vec3& end : {c.from, c.to}) {
      if (std::abs(a.dot(d)) < 0.15) continue;
      const double t = a.dot(end) / a.dot(d);
      if ((t * d - end).norm() <= c.radius) take(best, shaded, t, false);
    }
  }
  static void take_box(double& best, bool& shaded, const Box& b, const Vec3& d) {
    const Vec3 o = b.pose.inverse() * Vec3(Vec3::Zero()), v = b.pose.rotation.transpose() * d;
    double enter = -kMiss, leave = kMiss;
    int face = 0;
    for (int k = 0; k < 3; ++k) {
      const double t1 = (-b.half[k] - o[k]) / v[k], t2 = (b.half[k] - o[k]) / v[k];
      if (std::min(t1, t2) > enter) {
        enter = std::min(t1, t2);
        face = k;
      }
      leave = std::min(leave, std::max(t1, t2));
    }
    if (enter < leave) take(best, shaded, enter, std::abs(v[face]) < 0.15);
  }
};

inline Mat3 random_rotation(Random& random) {
  return (Eigen::AngleAxisd(random.uniform(0, 2 * M_PI), random.direction())).toRotationMatrix();
}

/// A tilted table about 650 mm away, a floor behind it, boxes, cables and other things lying about.
inline VirtualTable cluttered_table(Random& random) {
  VirtualTable scene;
  const Vec3 up = Vec3(random.uniform(-0.2, 0.2), random.uniform(-0.9, -0.3), -1).normalized();
  scene.planes.push_back({{0, 0, 700}, up});
  scene.planes.push_back({{0, 0, 1400}, -Vec3::UnitZ()});
  const auto on_table = [&](double height) {
    Vec3 p(random.uniform(-170, 170), random.uniform(-130, 130), 0);
    p.z() = 700 - (up.x() * p.x() + up.y() * p.y()) / up.z();
    return Vec3(p + height * up);
  };
  for (int i = 0; i < 4; ++i) {
    const Vec3 half(random.uniform(8, 35), random.uniform(8, 35), random.uniform(5, 25));
    const Mat3 turn = Eigen::Quaterniond::FromTwoVectors(Vec3::UnitZ(), up).toRotationMatrix() *
                      Eigen::AngleAxisd(random.uniform(0, 6), Vec3::UnitZ()).toRotationMatrix();
    scene.boxes.push_back({{turn, on_table(half.z())}, half});
  }
  for (int i = 0; i < 3; ++i) {  // cables
    const double r = random.uniform(2, 6);
    const Vec3 a = on_table(r);
    scene.cylinders.push_back({a, on_table(r), r});
  }
  for (int i = 0; i < 2; ++i) {  // tins standing and lying
    const double r = random.uniform(10, 25);
    const Vec3 foot = on_table(0);
    scene.cylinders.push_back({foot, foot + random.uniform(20, 60) * up, r});
  }
  return scene;
}

}  // namespace rigproof::testing_scenes
