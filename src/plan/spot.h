#pragma once

#include <optional>
#include <string>
#include <vector>

#include "inputs/procedure.h"
#include "plan/sight.h"

namespace rigproof {

/// Where a procedure wants variety: bars along edges, face and space diagonals and leaning in
/// depth; plates near, far and tilted (method, section 3; from memory of the trade's guideline).
enum class Role {
  width,
  height,
  depth,
  face_diagonal,
  space_diagonal,
  plate_near,
  plate_far,
  plate_left_away,
  plate_right_away,
  plate_top_away,
  plate_bottom_away,
  plate_free,
  ball
};
std::string to_string(Role role);

/// What placing goes by. Lengths in mm.
struct PlacingRules {
  Volume volume;
  Eyes eyes;
  double cap_half_angle_deg = 60;
  double clearance_mm = 2;   ///< a hand places no better
  double least_seen = 0.97;  ///< share of every cap, or of the plate
};
/// Clearance: 1.5 % of the space diagonal, at least 2 mm; our own decision.
PlacingRules placing_rules(const Rig& rig, const Field& field, const Procedure& procedure);

/// One artefact where it can stand: inside the volume and seen.
struct Spot {
  const ArtefactShape* shape = nullptr;
  RigidTransform pose;
  Vec3 direction = Vec3::Zero();  ///< of a bar, or a plate's normal towards the rig; zero for balls
  Role role = Role::ball;
  double seen = 0;
  double off_deg = 0;  ///< from the wanted direction

  const Vec3& center() const { return pose.translation; }
  /// Centres of the balls, or corners of the plate: what a person aligns. mm, sensor frame
  std::vector<Vec3> reaches() const;
};
/// Same centre within `center_mm` and direction within `direction_deg`, kinds alike.
bool same_spot(const Spot& a, const Spot& b, double center_mm, double direction_deg);

/// The artefact at a place, moved inwards until it fits, leaning less in depth (a plate: tilted
/// less) until it is seen. `direction` in mm; nullopt where it cannot stand.
std::optional<Spot> stand(const ArtefactShape& shape,
                          const Vec3& center,
                          const Vec3& direction,
                          const PlacingRules& rules);

/// A planned position with the artefacts at hand: the longest that keeps within 5° of the planned
/// direction, else the one that keeps nearest to it.
std::optional<Spot> stand(const PlannedPosition& planned,
                          const std::vector<ArtefactShape>& shapes,
                          const PlacingRules& rules);

/// Distinct spots of one artefact that cover what a procedure may want of it.
std::vector<Spot> spots_of(const ArtefactShape& shape, const PlacingRules& rules);

/// Largest angle out of the plane across the view at which a bar still fits and is seen; of a
/// plate its largest tilt. nullopt: it fits nowhere. Degrees
std::optional<double> largest_lean_deg(const ArtefactShape& shape, const PlacingRules& rules);

}  // namespace rigproof
