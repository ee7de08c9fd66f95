#pragma once

#include "locate/scene.h"
#include "locate/sighting.h"

namespace rigproof {

struct PlatesFound {
  std::vector<PlateSighting> plates;  ///< asked for, and with unknown_plates any large flat region
  std::vector<std::string> near_misses;
};

/// Flat regions, their planes and sides; surfaces of `balls` (frame of the scan) are left out.
PlatesFound find_plates(Scene& scene,
                        const LocateRequest& request,
                        const std::vector<BallSighting>& balls);

}  // namespace rigproof
