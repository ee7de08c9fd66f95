#include "optics/match.h"

#include <cmath>

#include <Eigen/Geometry>

namespace rigproof {
namespace {

constexpr double kStep = 0.05;       // mm, for directions in image 2
constexpr double kLeastSlope = 0.2;  // of the pattern's line against the epipolar line
constexpr double kOnLine = 1e-13;    // radians off the epipolar plane

}  // namespace

Match::Match(const StereoRig& truth,
             const Belief& belief,
             Matching matching,
             bool exact,
             const Vec2& left_px,
             const Vec3& point,
             const Vec3& normal)
    : belief_(belief), left_(belief.rig.cameras[0].ray(left_px)) {
  const auto right = truth.cameras[1].project(point);
  if (!right) return;
  right_px_ = *right;
  const Camera& camera = belief.rig.cameras[1];
  const double distance = (point - left_.origin).norm();
  const auto ahead = camera.project(left_.at(distance + kStep));
  const auto behind = camera.project(left_.at(distance - kStep));
  if (!ahead || !behind) return;
  along_ = (*ahead - *behind).normalized();
  ok_ = true;
  if (!exact && matching == Matching::epipolar) follow_pattern(truth, point, normal);
}

// The surface line that carries one column of the pattern is followed through image 2 until it
// crosses the believed epipolar line of the left pixel: there the matcher finds the column.
void Match::follow_pattern(const StereoRig& truth, const Vec3& point, const Vec3& normal) {
  const Camera& camera = belief_.rig.cameras[1];
  const Vec3 across_column = (point - truth.projector_mm).cross(Vec3::UnitY());
  const Vec3 line = normal.cross(across_column).normalized();
  const auto a = truth.cameras[1].project(point + kStep * line);
  const auto b = truth.cameras[1].project(point - kStep * line);
  const Vec3 plane = (camera.center() - left_.origin).cross(left_.direction).normalized();
  if (!a || !b) {
    ok_ = false;
    return;
  }
  const Vec2 way = (*a - *b).normalized();
  const double off_line = std::abs(way.x() * along_.y() - way.y() * along_.x());
  if (!(off_line > kLeastSlope)) {
    ok_ = false;
    return;
  }
  for (int i = 0; i < 4; ++i) {
    const double off = plane.dot(camera.ray(right_px_).direction);
    if (std::abs(off) < kOnLine) break;
    const double slope = plane.dot(camera.ray(right_px_ + way).direction) - off;
    right_px_ -= off / slope * way;
  }
}

Triangulation Match::triangulated(double along_px, double across_px) const {
  const Vec2 across(-along_.y(), along_.x());
  const Vec2 px = right_px_ + along_px * along_ + across_px * across;
  Triangulation t = triangulate(left_, belief_.rig.cameras[1].ray(px));
  t.point = belief_.dented(t.point);
  return t;
}

}  // namespace rigproof
