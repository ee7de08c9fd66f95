#include <algorithm>
#include <cmath>
#include <numbers>

#include <Eigen/Cholesky>
#include <Eigen/Geometry>

#include "diagnose/observation_model.h"

namespace rigproof {
namespace {

constexpr int kRings = 6, kSpokes = 12;
constexpr double kLeastCapDeg = 15, kMostCapDeg = 80;

}  // namespace

CapResponse::CapResponse(const ObservedBall& ball, double progress) {
  const Vec3 axis = ball.cap_axis, u = axis.unitOrthogonal(), v = axis.cross(u);
  const double half = std::clamp(ball.cap_half_angle_deg, kLeastCapDeg, kMostCapDeg);
  const double edge = std::sin(half * std::numbers::pi / 180);
  for (int i = 0; i < kRings; ++i) {
    const double s = edge * std::sqrt((i + 0.5) / kRings);  // rings of equal area in projection
    for (int j = 0; j < kSpokes; ++j) {
      const double phi = 2 * std::numbers::pi * (j + 0.5 * (i % 2)) / kSpokes;
      const Vec3 n = s * std::cos(phi) * u + s * std::sin(phi) * v + std::sqrt(1 - s * s) * axis;
      points_.push_back({ball.sphere.center + ball.sphere.radius * n, n, progress});
    }
  }
  const auto count = static_cast<Eigen::Index>(points_.size());
  Eigen::Matrix<double, 4, Eigen::Dynamic> jacobian(4, count);
  for (Eigen::Index i = 0; i < count; ++i) jacobian.col(i) << points_[i].normal, 1;
  const Eigen::Matrix4d normal = jacobian * jacobian.transpose();
  gain_ = normal.ldlt().solve(jacobian);
}

Eigen::Vector4d CapResponse::change(const Displacement& displacement) const {
  Eigen::VectorXd deviations(static_cast<Eigen::Index>(points_.size()));
  for (std::size_t i = 0; i < points_.size(); ++i)
    deviations[static_cast<Eigen::Index>(i)] = points_[i].normal.dot(displacement(points_[i]));
  return change(deviations);
}

}  // namespace rigproof
