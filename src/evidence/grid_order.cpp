#include "evidence/grid_order.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include <Eigen/Geometry>

#include "evidence/quantile.h"

namespace rigproof {
namespace {

constexpr std::size_t kLeast = 200;
constexpr double kStep = 1.6;    // pitches between neighbours of a row
constexpr double kOneWay = 0.7;  // of the steps' length that their sum must keep
constexpr double kGap = 8;       // pitches
constexpr double kSquare = 0.5;  // least sine between rows and their order

// Point i across the line of sight.
Vec3 flat(const SeenSurface& s, std::size_t i) {
  const auto [a, b] = s.across(i);
  return a * s.u + b * s.v;
}

}  // namespace

int grid_hand(const SeenSurface& s) {
  const std::size_t n = s.points.size();
  if (n < kLeast || !(s.pitch > 0)) return 0;
  Vec3 along = Vec3::Zero(), onward = Vec3::Zero();
  double length = 0;
  const double middle = 0.5 * static_cast<double>(n - 1);
  for (std::size_t i = 0; i < n; ++i) {
    onward += (static_cast<double>(i) - middle) * flat(s, i);
    if (i == 0) continue;
    const Vec3 step = flat(s, i) - flat(s, i - 1);
    if (step.norm() > kStep * s.pitch) continue;
    along += step;
    length += step.norm();
  }
  if (!(length > 0) || along.norm() < kOneWay * length || !(onward.norm() > 0)) return 0;
  // Along X and then down Y turns away from the sensor.
  const double turn = -along.normalized().cross(onward.normalized()).dot(s.view);
  return std::abs(turn) < kSquare ? 0 : turn > 0 ? 1 : -1;
}

double missing_in_rows(const SeenSurface& s) {
  if (grid_hand(s) == 0) return 0;
  std::vector<double> steps;
  for (std::size_t i = 1; i < s.points.size(); ++i)
    if (const double step = (flat(s, i) - flat(s, i - 1)).norm(); step < kGap * s.pitch)
      steps.push_back(step);
  if (steps.empty()) return 0;
  const double pitch = median(steps);
  double missing = 0;
  for (const double step : steps) missing += std::max(0.0, std::round(step / pitch) - 1);
  return missing / (missing + static_cast<double>(s.points.size()));
}

}  // namespace rigproof
