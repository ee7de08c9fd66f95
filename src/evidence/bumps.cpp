#include "evidence/bumps.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include <Eigen/Geometry>

#include "evidence/quantile.h"

namespace rigproof {
namespace {

constexpr double kPlaceDeg = 10;
constexpr double kScatters = 2;
constexpr std::size_t kLeastPoints = 8;

}  // namespace

std::vector<Bump> find_bumps(const BallFeature& f, const Vec3& axis) {
  std::vector<Bump> out;
  if (!(axis.norm() > 0)) return out;
  const Vec3 a = axis.normalized();
  const Vec3 across = f.cap_axis - f.cap_axis.dot(a) * a;
  if (across.norm() < 0.1) return out;
  const Vec3 b = across.normalized(), c = a.cross(b);
  struct Place {
    std::vector<double> residuals;
    Vec3 sum = Vec3::Zero();
  };
  std::map<std::pair<int, int>, Place> places;
  constexpr double kDeg = 180 / std::numbers::pi;
  for (std::size_t i = 0; i < f.zone.size(); ++i) {
    const Vec3 d = (f.zone.at(i) - f.fit.sphere.center).normalized();
    const double latitude = std::acos(std::clamp(d.dot(a), -1.0, 1.0)) * kDeg;
    const int row = static_cast<int>(latitude / kPlaceDeg);
    const double wide = std::max(1.0, std::sin((row + 0.5) * kPlaceDeg / kDeg) * 360 / kPlaceDeg);
    const double turn = std::atan2(d.dot(c), d.dot(b)) * kDeg / 360 + 0.5;
    Place& place = places[{row, static_cast<int>(turn * std::floor(wide))}];
    place.residuals.push_back(f.residuals[i]);
    place.sum += d;
  }
  const double sd = robust_sd(f.residuals);
  for (auto& [key, place] : places) {
    if (place.residuals.size() < kLeastPoints) continue;
    const double height = median(std::move(place.residuals));
    if (std::abs(height) < kScatters * sd) continue;
    const Vec3 d = place.sum.normalized();
    out.push_back({{d.dot(a), d.dot(b), d.dot(c)}, d, height});
  }
  return out;
}

}  // namespace rigproof
