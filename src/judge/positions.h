#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "geometry/volume.h"
#include "inputs/plan_file.h"
#include "judge/finding.h"

namespace rigproof {

/// One artefact where a scan found it. Scans in the order in which they were taken.
struct PlacedArtefact {
  std::string scan;
  ArtefactKind kind = ArtefactKind::bar;
  std::string serial;
  Vec3 center = Vec3::Zero();     ///< ball centre, middle of the bar or plate; mm, sensor frame
  Vec3 direction = Vec3::Zero();  ///< of a bar or plate normal; the sign does not matter
  std::vector<Vec3> touches;      ///< what it reaches: ball centres, plate corners
  double ball_radius = 0;         ///< largest of its balls, mm
  bool counts = true;             ///< inside the volume, in a scan without a stop, not withdrawn
};

/// Between two lines, 0 to 90; 0 where a direction is unknown (zero).
double angle_deg(const Vec3& a, const Vec3& b);

/// How near two artefacts of one kind lie together to be at one place.
struct SamePlace {
  double center_mm = 10;
  double direction_deg = 5;
  /// 10 mm, or 3 % of the space diagonal of a small volume; our own decision.
  static SamePlace for_volume(const Volume* volume);
};
bool at_same_place(const PlacedArtefact& a, const PlacedArtefact& b, const SamePlace& tolerance);

struct Positions {
  int balls = 0, bars = 0, plates = 0;  ///< distinct places of artefacts that count
  int of(ArtefactKind kind) const {
    return kind == ArtefactKind::ball ? balls : kind == ArtefactKind::bar ? bars : plates;
  }
  /// Index of the earliest artefact at the same place, its own when it is the first; −1 when it
  /// does not count.
  std::vector<int> first_at;
  /// Earliest bar and its last repeat (index pair), measured first and last; nullopt without one.
  std::optional<std::pair<int, int>> closing;
};

/// Distinct places by kind. A later artefact at the place of an earlier one is a repeat: its values
/// count, its place does not. With `bar_balls_are_positions` each ball of a bar is a ball position
/// of its own, and two balls nearer than the tolerance are one. The closing repeat is the pair of
/// the same bar at the same place with the most scans between; at least one must lie between them.
Positions count_positions(const std::vector<PlacedArtefact>& placed,
                          bool bar_balls_are_positions,
                          const SamePlace& tolerance);

/// For each planned position the artefact that fills it (−1: none): each artefact that counts fills
/// the nearest free position of its kind within half a zone, of a plan for this very artefact also
/// within 25°. Closing repeats stay free.
std::vector<int> match_positions(const std::vector<PlanEntry>& planned,
                                 const std::vector<PlacedArtefact>& placed,
                                 const Volume& volume);

/// Planned positions of a kind that nothing fills, as "P07, far-top-right". Empty for a procedure
/// without planned positions.
std::vector<std::string> missing_positions(const std::vector<PlanEntry>& planned,
                                           ArtefactKind kind,
                                           const std::vector<PlacedArtefact>& placed,
                                           const Volume& volume);

/// `clustered`, when more than 70 % of what the positions reach lies in one third of the volume
/// across its width, height or depth. Each place has the same weight; needs five of them.
std::optional<Finding> clustered(const std::vector<PlacedArtefact>& placed,
                                 const Positions& positions,
                                 const Volume& volume);

}  // namespace rigproof
