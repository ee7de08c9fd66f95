#pragma once

#include <array>
#include <vector>

#include "geometry/volume.h"
#include "inputs/artefact.h"

namespace rigproof {

/// An artefact as placing sees it, in its own frame: a bar along X about its middle, a ball plate
/// in X–Y, a plate's face in X–Y; Z points away from the sensor. mm
struct ArtefactShape {
  const Artefact* artefact = nullptr;
  std::vector<Vec3> centers;  ///< of the balls
  std::vector<double> radii;

  ArtefactKind kind() const { return artefact->kind; }
  /// Longest certified distance of a bar, diameter of a ball, length of a plate.
  double size_mm() const;
};
ArtefactShape shape_of(const Artefact& artefact);

/// Direction of a plan, normalised to the volume, as a unit vector in mm: a bar's diagonal stays
/// one. Plates' normals are planned as they are.
Vec3 direction_in(const Volume& volume, ArtefactKind kind, const std::array<double, 3>& along);
/// Its inverse, up to length: a direction in mm as a plan states it.
std::array<double, 3> normalized_direction(const Volume& volume,
                                           ArtefactKind kind,
                                           const Vec3& direction);

/// Pose with the artefact's middle at `center`; `direction` is a bar's X axis or, towards the
/// sensor, a plate's normal; ignored for a ball. The back of a bar turns away from the sensor, a
/// plate's long side stays level, a ball's post points down and away.
RigidTransform pose_at(ArtefactKind kind, const Vec3& center, const Vec3& direction);

/// Directions of a cap about an axis (unit): the apex, a middle ring and the rim.
std::vector<Vec3> cap_directions(const Vec3& axis, double half_angle_deg);

/// What must lie inside the volume: the evaluated caps of balls, the corners of a plate.
std::vector<Vec3> touches(const ArtefactShape& shape,
                          const RigidTransform& pose,
                          double cap_half_angle_deg);

/// Moves the pose until everything lies inside by `clearance_mm`; false when it cannot.
bool push_inside(const ArtefactShape& shape,
                 const Volume& volume,
                 double cap_half_angle_deg,
                 double clearance_mm,
                 RigidTransform& pose);

}  // namespace rigproof
