#pragma once

#include <span>
#include <vector>

#include "optics/match.h"

namespace rigproof {

/// Where a point lands when the true rig sees it and the belief triangulates what was seen (rays
/// that need not meet: the middle of their common perpendicular).
class DisplacementField {
 public:
  DisplacementField(StereoRig truth, Belief belief, Matching matching = Matching::free_match)
      : truth_(std::move(truth)), belief_(std::move(belief)), matching_(matching) {}

  /// A point in space, matched freely; itself when a camera does not see it. mm
  Triangulation measure(const Vec3& p) const;
  /// A point on a surface with this normal, matched as the rig matches.
  Triangulation measure(const Vec3& p, const Vec3& normal) const;
  /// Measured minus true position. mm
  Vec3 at(const Vec3& p) const { return measure(p).point - p; }
  /// Gap between the rays. mm
  double gap(const Vec3& p) const { return measure(p).gap_mm; }
  const StereoRig& truth() const { return truth_; }
  const Belief& belief() const { return belief_; }

 private:
  StereoRig truth_;
  Belief belief_;
  Matching matching_;
};

/// The field of one fault of one unit, by a small step of it: displacements at the given points per
/// unit of the fault. mm per unit
std::vector<Vec3> unit_field(const StereoRig& truth,
                             const CalibrationFault& fault,
                             std::span<const Vec3> points,
                             const Volume* volume = nullptr);

/// Change of the distance of two ball centres, taken at the centres and matched freely (a ball's
/// centre moves alike to first order under either matching; ball_change() is exact). mm
double length_change(const DisplacementField& field, const Vec3& a, const Vec3& b);

struct BallChange {
  Vec3 center = Vec3::Zero();  ///< mm
  double diameter = 0;         ///< mm
  double form = 0;             ///< max − min of the remaining deviations, mm
};
/// Least-squares sphere through the displaced points of a cap about `axis` (unit, towards the
/// sensor), sampled as an image would.
BallChange ball_change(const DisplacementField& field,
                       const Sphere& ball,
                       const Vec3& axis,
                       double half_angle_deg = 60);

/// Displacements along the normal at nu × nv places of a plate (the middles of equal patches, u
/// fastest) about their own least-squares plane. mm
std::vector<double> plate_shape(const DisplacementField& field,
                                const Plane& plate,
                                const Vec3& axis_u,
                                const Vec3& axis_v,
                                double length_mm,
                                double width_mm,
                                int nu = 12,
                                int nv = 8);

}  // namespace rigproof
