#pragma once

#include <array>

#include "optics/camera.h"

namespace rigproof {

/// What is known of a rig before a camera is made of it. Cameras lie on the X axis, symmetric about
/// the sensor frame's origin, without roll or pitch; camera 0 is the left one (−X).
struct StereoGeometry {
  double baseline_mm = 0;
  double focal_px = 0;
  std::array<int, 2> image_px{0, 0};
  double aim_mm = 0;  ///< both cameras aimed at (0, 0, aim); 0: toe_in_deg counts
  std::array<double, 2> toe_in_deg{0, 0};  ///< left, right; positive turns inward
  Distortion distortion;                   ///< of both lenses
  Vec3 projector_mm = Vec3::Zero();        ///< its centre of projection
  double board_alpha_per_K = 0;            ///< expansion of the calibration board
  /// Normalised radius at which a radial fault is stated; 0: the corner of the image.
  double corner_radius = 0;
};

/// Two cameras and a projector.
struct StereoRig {
  std::array<Camera, 2> cameras;
  Vec3 projector_mm = Vec3::Zero();
  double board_alpha_per_K = 0;
  double corner_radius = 0;

  double baseline() const { return (cameras[1].center() - cameras[0].center()).norm(); }
};

/// Throws Error(config) for a geometry that cannot be: no baseline, focal length or image.
StereoRig make_stereo_rig(const StereoGeometry& geometry);

struct Triangulation {
  Vec3 point = Vec3::Zero();  ///< middle of the common perpendicular
  double gap_mm = 0;          ///< its length
};
/// Two rays; nearly parallel ones give a far or undefined point.
Triangulation triangulate(const Ray& a, const Ray& b);
Triangulation triangulate(const StereoRig& rig, const Vec2& left_px, const Vec2& right_px);

/// Standard deviation of depth on the axis of a rig toed in at `distance_mm`:
/// Z²/(B·f) · (1 + B²/4Z²) · σ_disparity. mm
double depth_noise(double baseline_mm, double focal_px, double distance_mm, double disparity_px);

/// Rotations about the axes of a right-handed frame.
Mat3 rotation_x(double radians);
Mat3 rotation_y(double radians);
Mat3 rotation_z(double radians);

}  // namespace rigproof
