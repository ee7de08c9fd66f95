#pragma once

#include "optics/calibration_fault.h"

namespace rigproof {

/// How a rig finds the camera-1 pixel's partner in image 2.
enum class Matching {
  /// Anywhere in image 2: a belief with wrong epipolar lines opens a gap between the rays.
  free_match,
  /// Along the believed epipolar line, for the same column of the projected pattern: the same
  /// errors shift which piece of the surface is matched and become depth errors that depend on its
  /// slope.
  epipolar
};

/// One camera-1 pixel and its partner in camera 2, seen by the true rig, used by the belief.
class Match {
 public:
  /// `normal` is the surface's at `point`, which `left_px` shows. `exact`: belief and truth agree,
  /// so every match already lies on its epipolar line. ok() is false where the point is not before
  /// the cameras or no partner exists on the epipolar line. Keeps references.
  Match(const StereoRig& truth,
        const Belief& belief,
        Matching matching,
        bool exact,
        const Vec2& left_px,
        const Vec3& point,
        const Vec3& normal);

  bool ok() const { return ok_; }
  /// Where the belief puts the point when the match is off by so many pixels along and across the
  /// epipolar line.
  Triangulation triangulated(double along_px = 0, double across_px = 0) const;

 private:
  void follow_pattern(const StereoRig& truth, const Vec3& point, const Vec3& normal);

  const Belief& belief_;
  Ray left_;  // believed
  Vec2 right_px_ = Vec2::Zero(), along_ = Vec2::UnitX();
  bool ok_ = false;
};

}  // namespace rigproof
