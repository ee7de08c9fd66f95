#include "simulate/surface.h"

#include <array>
#include <cmath>

namespace rigproof {
namespace {

constexpr int kRounds = 4;  // of Newton; form errors are of the order of micrometres

// Slab test of a box given by its middle, axes and half sizes; entry distance and face normal.
std::optional<std::pair<double, Vec3>> enter_box(const Vec3& middle,
                                                 const std::array<Vec3, 3>& axes,
                                                 const std::array<double, 3>& half,
                                                 const Ray& ray) {
  double in = -1e300, out = 1e300;
  Vec3 normal = Vec3::UnitZ();
  for (int i = 0; i < 3; ++i) {
    const double o = axes[i].dot(ray.origin - middle), d = axes[i].dot(ray.direction);
    if (std::abs(d) < 1e-14) {
      if (std::abs(o) > half[i]) return std::nullopt;
      continue;
    }
    const double side = d > 0 ? -1 : 1;
    const double near = (side * half[i] - o) / d, far = (-side * half[i] - o) / d;
    if (near > in) {
      in = near;
      normal = side * axes[i];
    }
    out = std::min(out, far);
  }
  if (in > out) return std::nullopt;
  return std::pair{in, normal};
}

}  // namespace

double BallForm::at(const Vec3& normal) const {
  const Vec3 m = to_ball * normal;
  const double z2 = m.z() * m.z();
  return c2 * (3 * z2 - 1) / 2 + c3 * m.z() * (5 * z2 - 3) / 2 + c22 * 2 * m.x() * m.y();
}

Vec3 BallForm::slope(const Vec3& normal) const {
  const Vec3 m = to_ball * normal;
  const Vec3 g(
      2 * c22 * m.y(), 2 * c22 * m.x(), 3 * c2 * m.z() + c3 * (15 * m.z() * m.z() - 3) / 2);
  const Vec3 in_frame = to_ball.transpose() * g;
  return in_frame - in_frame.dot(normal) * normal;
}

void meet(const BallBody& body, const Ray& ray, double least, Hit& hit) {
  const Vec3 w = ray.origin - body.sphere.center;
  const double b = w.dot(ray.direction);
  // Squared distance of the centre from the ray, without cancellation of large squares.
  const double off2 = (w - b * ray.direction).squaredNorm();
  const double r = body.sphere.radius;
  if (off2 >= r * r) return;
  double t = -b - std::sqrt(r * r - off2);
  Vec3 n = (w + t * ray.direction) / r;
  if (!body.form.none()) {
    for (int i = 0; i < kRounds; ++i) {
      const Vec3 d = w + t * ray.direction;
      const double length = d.norm();
      n = d / length;
      const double slope = n.dot(ray.direction);
      if (std::abs(slope) < 1e-3) break;
      t -= (length - r - body.form.at(n)) / slope;
    }
    n = (n - body.form.slope(n) / r).normalized();
  }
  if (t <= least || t >= hit.t) return;
  hit.t = t;
  hit.normal = n;
  hit.feature = body.feature;
}

void meet(const RodBody& body, const Ray& ray, double least, Hit& hit) {
  const Vec3 span = body.to - body.from;
  const double length = span.norm();
  const Vec3 axis = span / length;
  const Vec3 w = ray.origin - body.from;
  const double dz = ray.direction.dot(axis), wz = w.dot(axis);
  const Vec3 d = ray.direction - dz * axis, p = w - wz * axis;
  const double a = d.squaredNorm(), b = p.dot(d);
  const auto take = [&](double t, const Vec3& normal) {
    if (t <= least || t >= hit.t) return;
    hit.t = t;
    hit.normal = normal;
    hit.feature = -1;
  };
  if (a > 1e-18) {
    const Vec3 nearest = p - b / a * d;
    const double disc = body.radius * body.radius - nearest.squaredNorm();
    if (disc > 0) {
      const double t = (-b - std::sqrt(disc * a)) / a;
      const double z = wz + t * dz;
      if (z >= 0 && z <= length) take(t, (p + t * d) / body.radius);
    }
  }
  if (std::abs(dz) > 1e-12) {
    const double t = ((dz > 0 ? 0 : length) - wz) / dz;
    if ((p + t * d).norm() <= body.radius) take(t, dz > 0 ? Vec3(-axis) : axis);
  }
}

double PlateBody::height(double along_u, double along_v) const {
  const double s = along_u / half_u, t = along_v / half_v;
  return bow * (1 - (s * s + t * t) / 2) + twist * s * t;
}

void meet(const PlateBody& body, const Ray& ray, double least, Hit& hit) {
  const Vec3& n = body.plane.normal;
  const auto box = enter_box(body.plane.point - body.thickness / 2 * n,
                             {body.u, body.v, n},
                             {body.half_u, body.half_v, body.thickness / 2},
                             ray);
  if (!box) return;
  auto [t, normal] = *box;
  int feature = -1;
  if (normal.dot(n) > 0.5) {
    feature = body.feature;
    const Vec3 w = ray.origin - body.plane.point;
    const double ou = w.dot(body.u), ov = w.dot(body.v), on = w.dot(n);
    const double du = ray.direction.dot(body.u), dv = ray.direction.dot(body.v),
                 dn = ray.direction.dot(n);
    // The bow's slope is of the order of 1e-4, so the step along the flat face converges at once.
    if (body.bow != 0 || body.twist != 0)
      for (int i = 0; i < kRounds; ++i)
        t -= (on + t * dn - body.height(ou + t * du, ov + t * dv)) / dn;
  }
  if (t <= least || t >= hit.t) return;
  hit.t = t;
  hit.normal = normal;
  hit.feature = feature;
}

}  // namespace rigproof
