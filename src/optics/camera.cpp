#include "optics/camera.h"

#include <cmath>

namespace rigproof {
namespace {

// r with r (1 + k r²) = target.
double radius_before(double target, double k) {
  double r = target;
  for (int i = 0; i < 20; ++i) {
    const double step = (r * (1 + k * r * r) - target) / (1 + 3 * k * r * r);
    r -= step;
    if (std::abs(step) < 1e-15) break;
  }
  return r;
}

}  // namespace

Vec2 Distortion::apply(const Vec2& n) const {
  const double x = n.x(), y = n.y(), r2 = x * x + y * y;
  const double radial = 1 + r2 * (k1 + r2 * (k2 + r2 * k3));
  return {x * radial + 2 * p1 * x * y + p2 * (r2 + 2 * x * x),
          y * radial + p1 * (r2 + 2 * y * y) + 2 * p2 * x * y};
}

Vec2 Distortion::remove(const Vec2& distorted) const {
  if (none()) return distorted;
  double x = distorted.x(), y = distorted.y();
  for (int i = 0; i < 20; ++i) {
    const double r2 = x * x + y * y;
    const double radial = 1 + r2 * (k1 + r2 * (k2 + r2 * k3));
    const double slope = 2 * (k1 + r2 * (2 * k2 + r2 * 3 * k3));  // d radial / (r dr)
    const double ex = x * radial + 2 * p1 * x * y + p2 * (r2 + 2 * x * x) - distorted.x();
    const double ey = y * radial + p1 * (r2 + 2 * y * y) + 2 * p2 * x * y - distorted.y();
    const double xx = radial + slope * x * x + 2 * p1 * y + 6 * p2 * x;
    const double xy = slope * x * y + 2 * p1 * x + 2 * p2 * y;
    const double yy = radial + slope * y * y + 6 * p1 * y + 2 * p2 * x;
    const double det = xx * yy - xy * xy;
    const double dx = (yy * ex - xy * ey) / det, dy = (xx * ey - xy * ex) / det;
    x -= dx;
    y -= dy;
    // Newton doubles the digits: the step after one this small would be below rounding.
    if (std::abs(dx) + std::abs(dy) < 1e-9) break;
  }
  return {x, y};
}

std::optional<Vec2> Camera::project(const Vec3& p) const {
  const Vec3 c = to_sensor.rotation.transpose() * (p - to_sensor.translation);
  if (!(c.z() > 0)) return std::nullopt;
  Vec2 n(c.x() / c.z(), c.y() / c.z());
  if (residual_radial != 0) {
    const double r = n.norm();
    if (r > 0) n *= radius_before(r, residual_radial) / r;
  }
  return principal_px + focal_px * distortion.apply(n);
}

Ray Camera::ray(const Vec2& pixel) const {
  Vec2 n = distortion.remove((pixel - principal_px) / focal_px);
  if (residual_radial != 0) n *= 1 + residual_radial * n.squaredNorm();
  return {to_sensor.translation, to_sensor.rotation * Vec3(n.x(), n.y(), 1).normalized()};
}

}  // namespace rigproof
