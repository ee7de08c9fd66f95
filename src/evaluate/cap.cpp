#include "evaluate/cap.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include <Eigen/Geometry>

namespace rigproof {
namespace {

constexpr double kDegrees = 180 / std::numbers::pi;
constexpr double kNear = 3;        // radii from the centre, nobody measures from there
constexpr double kDisagree = 0.5;  // cos 60°
constexpr std::size_t kSectors = 24;
constexpr std::size_t kMost = 40000;  // points looked at, spread evenly
constexpr double kOrder = 0.95;

double angle(double cosine) { return std::acos(std::clamp(cosine, -1.0, 1.0)) * kDegrees; }

std::size_t stride(std::size_t n) { return std::max<std::size_t>(1, n / kMost); }

// Angle reached by points that are spread evenly in projection, from one order statistic: the k-th
// of m values of sin² is k/(m+1) of the whole. Beyond the hemisphere the plain value.
double reached(std::vector<double>& cosines) {
  if (cosines.empty()) return 0;
  const std::size_t m = cosines.size();
  const auto k =
      std::max<std::size_t>(1, static_cast<std::size_t>(kOrder * static_cast<double>(m)));
  const auto at = cosines.begin() + static_cast<std::ptrdiff_t>(k - 1);
  std::nth_element(cosines.begin(), at, cosines.end(), std::greater<>());
  if (*at <= 0) return std::acos(std::max(-1.0, *at));
  const double s = (1 - *at * *at) * static_cast<double>(m + 1) / static_cast<double>(k);
  return std::asin(std::sqrt(std::min(1.0, s)));
}

}  // namespace

std::string to_string(CapAxis from) {
  switch (from) {
    case CapAxis::cameras:
      return "directions to the cameras";
    case CapAxis::origin:
      return "direction to the frame origin";
    case CapAxis::seen:
      return "middle of the seen surface";
  }
  return "unknown";
}

std::pair<Vec3, CapAxis> cap_axis(const Sphere& ball,
                                  const std::vector<Vec3>& cameras,
                                  const Vec3& seen) {
  const CapAxis from = cameras.empty() ? CapAxis::origin : CapAxis::cameras;
  Vec3 sum = Vec3::Zero();
  bool near = false;
  for (const Vec3& eye : cameras.empty() ? std::vector<Vec3>{Vec3::Zero()} : cameras) {
    const Vec3 to = eye - ball.center;
    near = near || !(to.norm() > kNear * ball.radius);
    if (!near) sum += to.normalized();
  }
  if (near || !(sum.norm() > 0)) return {seen, CapAxis::seen};
  const Vec3 axis = sum.normalized();
  if (axis.dot(seen) < kDisagree) return {seen, CapAxis::seen};
  return {axis, from};
}

double half_angle_of(const Points& points, const Vec3& center, const Vec3& axis, double share) {
  const Vec3 c = center - points.origin;
  std::vector<double> cosines;
  for (std::size_t i = 0; i < points.size(); i += stride(points.size())) {
    const Vec3 d = points.local(i) - c;
    cosines.push_back(d.dot(axis) / d.norm());
  }
  if (cosines.empty()) return 0;
  const auto k =
      static_cast<std::ptrdiff_t>(std::ceil(share * static_cast<double>(cosines.size())));
  const auto at = cosines.begin() + std::max<std::ptrdiff_t>(0, k - 1);
  std::nth_element(cosines.begin(), at, cosines.end(), std::greater<>());
  return angle(*at);
}

Vec3 mean_direction(const Points& points, const Vec3& center) {
  const Vec3 c = center - points.origin;
  Vec3 sum = Vec3::Zero();
  for (std::size_t i = 0; i < points.size(); i += stride(points.size()))
    sum += (points.local(i) - c).normalized();
  return sum.norm() > 0 ? Vec3(sum.normalized()) : Vec3(-Vec3::UnitZ());
}

double seen_half_angle(const Points& points, const Vec3& center) {
  if (points.empty()) return 0;
  const Vec3 axis = mean_direction(points, center), c = center - points.origin;
  const auto [u, v] = across(axis);
  std::array<std::vector<double>, kSectors> cosines;
  for (std::size_t i = 0; i < points.size(); i += stride(points.size())) {
    const Vec3 d = (points.local(i) - c).normalized();
    const double turn = std::atan2(d.dot(v), d.dot(u)) / (2 * std::numbers::pi) + 0.5;
    const auto k = static_cast<std::size_t>(turn * kSectors);
    cosines[std::min(k, kSectors - 1)].push_back(d.dot(axis));
  }
  double sum = 0;  // of sin²(half the angle), the solid angle but for 4π/24
  for (auto& sector : cosines) {
    const double half = 0.5 * reached(sector);
    sum += std::sin(half) * std::sin(half);
  }
  return 2 * std::asin(std::sqrt(std::min(1.0, sum / kSectors))) * kDegrees;
}

std::pair<Vec3, Vec3> across(const Vec3& axis) {
  const Vec3 start = std::abs(axis.x()) < 0.9 ? Vec3::UnitX() : Vec3::UnitY();
  const Vec3 u = (start - start.dot(axis) * axis).normalized();
  return {u, axis.cross(u)};
}

}  // namespace rigproof
