#pragma once

#include "locate/scene.h"
#include "locate/sighting.h"

namespace rigproof {

struct BallsFound {
  std::vector<BallSighting> balls;  ///< of the sizes asked for, and with unknown_balls any
  /// Spheres of sizes not asked for; where any size was, round surfaces that are no balls.
  std::vector<BallSighting> others;
  std::vector<std::string> near_misses;
};

/// Vote, refine, check, merge; see architecture notes in sighting.h. Frame: the scan's.
BallsFound find_balls(Scene& scene, const LocateRequest& request);

}  // namespace rigproof
