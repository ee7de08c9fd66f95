// optics: how a stereo rig sees. Cameras with lens distortion, triangulation, and what a small
// calibration fault does to every point, length, ball and plate.
// Enters: geometry of a rig in mm, pixels and degrees. Leaves: rays, pixels, points, displacement
// fields. Knows neither files nor sessions.
#pragma once

#include <array>
#include <optional>

#include "geometry/shapes.h"

namespace rigproof {

using Vec2 = Eigen::Vector2d;

/// A line of sight; `direction` is a unit vector. mm, sensor frame
struct Ray {
  Vec3 origin = Vec3::Zero();
  Vec3 direction = Vec3::UnitZ();

  Vec3 at(double t) const { return origin + t * direction; }
};

/// Lens distortion of normalised coordinates x = X/Z, y = Y/Z (D. C. Brown, "Close-range camera
/// calibration", Photogrammetric Engineering 37 (1971) 855, in the forward form of common
/// practice): x' = x (1 + k1 r² + k2 r⁴ + k3 r⁶) + 2 p1 x y + p2 (r² + 2x²), y likewise.
struct Distortion {
  double k1 = 0, k2 = 0, k3 = 0, p1 = 0, p2 = 0;

  Vec2 apply(const Vec2& ideal) const;
  /// Inverse by Newton's method to 1e-15 of the normalised unit.
  Vec2 remove(const Vec2& distorted) const;
  bool none() const { return k1 == 0 && k2 == 0 && k3 == 0 && p1 == 0 && p2 == 0; }
};

/// Pinhole camera with distortion. Pixel (0, 0) is the centre of the first pixel of the first row;
/// rows run downwards, as Y does.
struct Camera {
  double focal_px = 0;
  Vec2 principal_px = Vec2::Zero();
  Distortion distortion;
  /// Error of the undistortion that a belief may carry: undistorted normalised coordinates are
  /// multiplied by (1 + residual_radial r²). Zero in a true camera.
  double residual_radial = 0;
  std::array<int, 2> image_px{0, 0};  ///< width, height
  RigidTransform to_sensor;           ///< camera frame (X right, Y down, Z ahead) → sensor frame

  const Vec3& center() const { return to_sensor.translation; }
  Vec3 axis() const { return to_sensor.rotation.col(2); }
  /// nullopt for a point that is not in front of the camera.
  std::optional<Vec2> project(const Vec3& p) const;
  Ray ray(const Vec2& pixel) const;
  bool in_image(const Vec2& pixel) const {
    return pixel.x() >= -0.5 && pixel.y() >= -0.5 && pixel.x() <= image_px[0] - 0.5 &&
           pixel.y() <= image_px[1] - 0.5;
  }
};

}  // namespace rigproof
