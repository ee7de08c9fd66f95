#pragma once

#include <string>
#include <vector>

#include "geometry/volume.h"
#include "inputs/artefact_shape.h"
#include "inputs/procedure.h"
#include "optics/stereo_rig.h"
#include "simulate/artefact_body.h"

namespace rigproof {

/// One artefact in one scan.
struct Placement {
  std::string position;  ///< id of the planned position, "" free
  std::string artefact;  ///< serial
  RigidTransform pose;   ///< artefact frame → sensor frame
  std::string place;     ///< zone or words
};

/// Puts the artefacts at hand where the procedure plans them: each moved inwards until its balls'
/// caps, or its plate, lie within the volume, a bar leaning less in depth until both balls are seen
/// whole by both cameras and the projector. The longest bar that keeps within 5° of the planned
/// direction is taken, else the one that leans most. Closing repeats take the pose of what they
/// repeat, moved by up to 0.3 mm; other places vary by up to 1 % of the volume. `position` without
/// an artefact of its kind is left out.
std::vector<Placement> arrange(const std::vector<PlannedPosition>& plan,
                               const std::vector<ArtefactBody>& bodies,
                               const Volume& volume,
                               const StereoRig& rig,
                               const Chance& chance);

/// How far a placed artefact reaches out of the volume (0 inside). mm
double reaches_out(const ArtefactBody& body, const RigidTransform& pose, const Volume& volume);

}  // namespace rigproof
