#include "evidence/holder_cone.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "evidence/quantile.h"

namespace rigproof {
namespace {

constexpr std::size_t kLeastStrays = 8, kLeastPoints = 5;
constexpr double kFarOff = 8;        // robust standard deviations
constexpr double kLeastOff = 0.005;  // of the radius
constexpr double kTogether = 0.8;    // length of the mean direction
constexpr double kInside = 0.95;     // of the points that the cone must hold
constexpr double kMargin = 1.5;      // point spacings
constexpr double kWidestDeg = 35;

}  // namespace

std::optional<Holder> find_holder(const BallFeature& f) {
  if (f.strays < kLeastStrays || f.points == 0) return std::nullopt;
  const Sphere& s = f.fit.sphere;
  const double off = std::max(kFarOff * robust_sd(f.residuals), kLeastOff * s.radius);
  std::vector<Vec3> directions;
  Vec3 sum = Vec3::Zero();
  for (std::size_t i = 0; i < f.zone.size(); ++i) {
    if (f.residuals[i] < off) continue;  // what stands on the ball, not in it
    directions.push_back((f.zone.at(i) - s.center).normalized());
    sum += directions.back();
  }
  if (directions.size() < kLeastPoints ||
      sum.norm() < kTogether * static_cast<double>(directions.size()))
    return std::nullopt;
  const Vec3 axis = sum.normalized();
  std::vector<double> angles;
  for (const Vec3& d : directions)
    angles.push_back(std::acos(std::clamp(d.dot(axis), -1.0, 1.0)) * 180 / std::numbers::pi);
  std::ranges::sort(angles);
  const double held =
      angles[static_cast<std::size_t>(kInside * static_cast<double>(angles.size() - 1))];
  const double half = held + kMargin * f.spacing_mm / s.radius * 180 / std::numbers::pi;
  if (half > kWidestDeg) return std::nullopt;
  return Holder{{axis.x(), axis.y(), axis.z()}, half};
}

}  // namespace rigproof
