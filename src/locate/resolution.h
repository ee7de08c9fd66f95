#pragma once

#include <optional>

#include "locate/sighting.h"

namespace rigproof {

/// Edge of the smallest cells that a request needs, mm: a quarter of the smallest radius asked for;
/// where sizes are unknown, as fine as the points allow.
double finest_edge(const Points& points, const LocateRequest& request, int threads);

/// Of points that crowd cells of `edge` mm every n-th, so that a cell still holds enough for its
/// normal; none where they do not. More would cost time and find nothing.
std::optional<Points> thinned_to_enough(const Points& points, double edge, int threads);

/// Edge at which occupied cells hold about `wanted` points on average: found by counting cells at
/// one edge and scaling as for a surface, twice. mm; 0 without points or extent.
double edge_for_occupancy(const Points& points, double wanted, int threads);

}  // namespace rigproof
