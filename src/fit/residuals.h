#pragma once

#include "fit/fit.h"

namespace rigproof {

/// Statistics of the same residuals as sphere_residuals and plane_residuals, without storing them.
ResidualStats sphere_residual_stats(const Points& points, const Sphere& sphere, int threads = 0);
ResidualStats plane_residual_stats(const Points& points, const Plane& plane, int threads = 0);

}  // namespace rigproof
