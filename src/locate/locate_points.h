#pragma once

#include "locate/sighting.h"

namespace rigproof {

/// locate() on points at hand. `threads` 0: one a core; never changes the result.
Sighting locate_points(const Points& points, const LocateRequest& request, int threads = 0);

}  // namespace rigproof
