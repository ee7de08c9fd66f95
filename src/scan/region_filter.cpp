#include "scan/region_filter.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace rigproof {
namespace {

constexpr float kInfinite = std::numeric_limits<float>::infinity();

/// The next float below v, ±infinity outside the range of float.
float below(double v) {
  if (!(v > -std::numeric_limits<float>::max())) return -kInfinite;
  if (v > std::numeric_limits<float>::max()) return std::numeric_limits<float>::max();
  return std::nextafter(static_cast<float>(v), -kInfinite);
}

}  // namespace

RegionFilter::RegionFilter(const Region& region,
                           const Delivery& delivery,
                           const Vec3& fallback_origin)
    : origin(fallback_origin), region_(region) {
  if (const auto* shell = std::get_if<ShellRegion>(&region))
    cos_half_angle_ = std::cos(shell->half_angle_deg * std::numbers::pi / 180);
  const Box box = bounding_box(region);
  for (int c = 0; c < 3; ++c) {
    lo[c] = box.empty() ? kInfinite : -kInfinite;
    hi[c] = -lo[c];
  }
  static constexpr double kHuge = 1e100;  // a box without bounds filters nothing
  if (box.empty() || !(box.lo.cwiseAbs().maxCoeff() < kHuge) ||
      !(box.hi.cwiseAbs().maxCoeff() < kHuge))
    return;
  Vec3 middle = 0.5 * (box.lo + box.hi);
  Vec3 half = 0.5 * (box.hi - box.lo);
  // Generous against every rounding on the way of a value to the sensor frame (about 1e-15 each).
  const double slack = 1e-12 * (middle.norm() + half.norm() + delivery.base.norm() +
                                delivery.to_sensor.translation.norm());
  if (delivery.turned) {
    middle = delivery.to_sensor.inverse() * middle;
    half = delivery.to_sensor.rotation.transpose().cwiseAbs() * half;
  }
  // A side of kilometres has no middle worth the name: the points lie where all points lie.
  static constexpr double kWide = 1e6;  // mm
  Vec3 near = middle;
  double size = 0;
  for (int c = 0; c < 3; ++c) {
    if (half[c] > kWide)
      near[c] = fallback_origin[c];
    else
      size = std::max(size, 2 * half[c]);
  }
  origin = round_origin(near, size);
  for (int c = 0; c < 3; ++c) {
    lo[c] = below((middle[c] - half[c] - slack - delivery.base[c]) / delivery.unit);
    hi[c] = -below(-(middle[c] + half[c] + slack - delivery.base[c]) / delivery.unit);
  }
}

bool RegionFilter::contains(const Vec3& p) const {
  const auto* shell = std::get_if<ShellRegion>(&region_);
  if (!shell) return rigproof::contains(region_, p);
  const Vec3 d = p - shell->center;
  const double r2 = d.squaredNorm();
  if (r2 < shell->inner_mm * shell->inner_mm || r2 > shell->outer_mm * shell->outer_mm)
    return false;
  return shell->half_angle_deg >= 180 || d.dot(shell->axis) >= cos_half_angle_ * std::sqrt(r2);
}

}  // namespace rigproof
