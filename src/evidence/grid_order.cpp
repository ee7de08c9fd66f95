#include "evidence/grid_order.h"

#include <cmath>

#include <Eigen/Geometry>

namespace rigproof {
namespace {

constexpr std::size_t kLeast = 200;
constexpr double kStep = 1.6;    // pitches between neighbours of a row
constexpr double kOneWay = 0.7;  // of the steps' length that their sum must keep
constexpr double kSquare = 0.5;  // least sine between rows and their order

}  // namespace

int grid_hand(const SeenSurface& s) {
  const std::size_t n = s.points.size();
  if (n < kLeast || !(s.pitch > 0)) return 0;
  Vec3 along = Vec3::Zero(), onward = Vec3::Zero(), last = Vec3::Zero();
  double length = 0;
  const double middle = 0.5 * static_cast<double>(n - 1);
  for (std::size_t i = 0; i < n; ++i) {
    const auto [a, b] = s.across(i);
    const Vec3 p = a * s.u + b * s.v;
    onward += (static_cast<double>(i) - middle) * p;
    const Vec3 step = p - last;
    last = p;
    if (i == 0 || step.norm() > kStep * s.pitch) continue;
    along += step;
    length += step.norm();
  }
  if (!(length > 0) || along.norm() < kOneWay * length || !(onward.norm() > 0)) return 0;
  // Along X and then down Y turns away from the sensor.
  const double turn = -along.normalized().cross(onward.normalized()).dot(s.view);
  return std::abs(turn) < kSquare ? 0 : turn > 0 ? 1 : -1;
}

}  // namespace rigproof
