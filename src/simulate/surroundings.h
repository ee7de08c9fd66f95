#pragma once

#include "geometry/volume.h"
#include "simulate/virtual_scene.h"

namespace rigproof {

/// What stands in the field beside the artefact: a table behind the volume, seen at a slant, with a
/// block and a hexagonal nut on it. Never between the rig and the volume.
void add_surroundings(const Volume& volume, VirtualScene& scene);

/// A finger of a clamp that holds a ball from the sensor's side: its tip lies on the ball 50° off
/// `axis` (unit, towards the sensor).
void add_holder(const Sphere& ball, const Vec3& axis, VirtualScene& scene);

}  // namespace rigproof
