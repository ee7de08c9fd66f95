#pragma once

#include <vector>

#include "inputs/artefact_shape.h"
#include "inputs/rig.h"
#include "optics/stereo_rig.h"

namespace rigproof {

/// What must see a surface: both cameras and the projector. Without stereo geometry the frame's
/// origin stands for them and images have no edge.
struct Eyes {
  std::vector<Vec3> centers;
  std::vector<Camera> cameras;  ///< empty: unknown

  /// Unit, from p to the middle of the cameras' directions: the axis of a cap's evaluation zone.
  Vec3 cap_axis(const Vec3& p) const;
};
Eyes eyes_of(const Rig& rig, const Field& field);

/// Least share over the balls of the evaluated cap (or of the plate) that all eyes see at no less
/// than the grazing angle, the artefact and what usually carries it alone in the scene.
double seen_share(const ArtefactShape& shape,
                  const RigidTransform& pose,
                  const Eyes& eyes,
                  double cap_half_angle_deg);

}  // namespace rigproof
