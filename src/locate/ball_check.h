#pragma once

#include <string>

#include "locate/ball_refine.h"

namespace rigproof {

/// What the surroundings say about a fitted sphere, by directions from its centre: in how much of
/// the seen cap do points lie on it, in how much before or behind it.
struct BallEvidence {
  Vec3 axis = -Vec3::UnitZ();  ///< mean direction of the covered area
  double half_angle_deg = 0;   ///< of the covered cap, robust
  double coverage = 0;         ///< share of the cap's directions in which the surface was seen
  double purity = 0;           ///< of the directions seen, share in which most points lie on it
  /// Difference of the two principal curvatures, relative: 0 on a sphere, near 1 on a cylinder.
  double astigmatism = 0, u_astigmatism = 0;
  double scatter = 0;       ///< robust standard deviation on the covered cap, mm
  double form = 0;          ///< root mean square of what directions share beyond their noise, mm
  double noise = 0;         ///< of the surface on a small scale, mm
  double u_radius = 0;      ///< of the radius, if residuals were independent, mm
  std::size_t support = 0;  ///< points on it, all of the sample
};

/// A glance takes some hundred points of the surroundings, estimates the support from them and
/// leaves out astigmatism, noise and the radius's uncertainty; a close look counts the support over
/// all.
enum class Look { glance, close };

/// Of a cap too small to stand out from flat only the half-angle is told.
BallEvidence gather_evidence(
    const Scene& scene, int level, const SceneLevel& cells, const BallRefined& ball, Look look);

struct BallDemands {
  double nominal_radius = 0;  ///< 0: any size
  double tolerance = 0.15;
};

/// Why a fitted sphere is not such a ball; empty words when it is one.
struct Objection {
  std::string words;  ///< with numbers
  /// It is a ball in every respect but its size.
  bool other_size = false;
  /// Worth telling a person: a surface that is round, but …
  bool telling = false;
};
/// True when a rough fit and a glance already exclude a ball, with a wide margin.
bool is_hopeless(const BallRefined& ball,
                 const BallEvidence& evidence,
                 const BallDemands& demands,
                 const std::optional<Vec3>& sensor);

Objection objection(const BallRefined& ball,
                    const BallEvidence& evidence,
                    const BallDemands& demands,
                    const std::optional<Vec3>& sensor);

}  // namespace rigproof
