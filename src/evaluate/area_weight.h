#pragma once

#include "evaluate/feature.h"

namespace rigproof {

/// Fits in which equal areas count alike, whatever the density of the points: each occupied cell of
/// about two point spacings has weight one, shared by its points. Information beside the plain
/// fits, never a test value. Of the whole zone, nothing left out; `fit_all` where it fails.
Sphere area_weighted_sphere(const BallFeature& ball);
Plane area_weighted_plane(const PlateFeature& plate);

}  // namespace rigproof
