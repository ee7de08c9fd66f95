#pragma once

#include "locate/scene.h"
#include "locate/sighting.h"

namespace rigproof {

struct BallsFound {
  std::vector<BallSighting> balls;   ///< of the sizes asked for, and with unknown_balls any
  std::vector<BallSighting> others;  ///< spheres of sizes not asked for
  std::vector<std::string> near_misses;
};

/// Vote, refine, check, merge; see architecture notes in sighting.h. Frame: the scan's.
BallsFound find_balls(Scene& scene, const LocateRequest& request);

}  // namespace rigproof
