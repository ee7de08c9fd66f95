#pragma once

#include "locate/ball_votes.h"

namespace rigproof {

/// Points of the scene around a centre, relative to it.
struct Surrounding {
  Points points;                       ///< origin: the centre, in the scene's local frame
  double noise = 0;                    ///< median noise of the patches there, mm
  std::vector<std::uint32_t> indices;  ///< of the points in the sample
  std::size_t stride = 1;              ///< one point in so many was taken
};

struct SurroundingOptions {
  double inner_mm = 0, outer_mm = 0;  ///< distance from the centre
  std::size_t most_points = 2048;     ///< thinned evenly to about this many
  /// Largest angle between a patch's normal and the direction from the centre; 90: any. Leaves out
  /// most of what touches or stands before the ball.
  double normal_within_deg = 90;
};

Surrounding surrounding(const Scene& scene,
                        int level,
                        const SceneLevel& cells,
                        const Vec3& center,
                        const SurroundingOptions& options);

struct BallRefined {
  Sphere sphere;           ///< local frame of the scene
  double scatter = 0;      ///< robust standard deviation of the residuals, mm
  double noise = 0;        ///< of the surface patches, mm
  std::size_t points = 0;  ///< within the gate
  bool ok = false;
};

/// M-estimator with Tukey's biweight (constant 3.5: what stands close to a ball weighs more
/// here than efficiency), radius free: the gate first
/// narrows from `first_gate`, at most 0.3 radii, towards the noise of the patches, then follows 3.5
/// times the scatter until both agree. Not ok when it runs away (a flat surface) or loses its
/// points. Done when a step is below `precision` radii.
BallRefined refine_ball(const Surrounding& around,
                        double start_radius,
                        double first_gate,
                        double precision);

}  // namespace rigproof
