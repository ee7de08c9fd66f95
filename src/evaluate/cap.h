#pragma once

#include <utility>
#include <vector>

#include "evaluate/feature.h"

namespace rigproof {

/// Middle of a ball's cap: the mean of the unit directions to the cameras, or without cameras the
/// direction to the frame origin. Where that place cannot be where the ball was seen from (inside
/// or within three radii of the ball, or more than 60° from the middle of the seen surface), the
/// middle of the seen surface.
std::pair<Vec3, CapAxis> cap_axis(const Sphere& ball,
                                  const std::vector<Vec3>& cameras,
                                  const Vec3& seen);

/// Half-angle about `axis` that holds `share` of the points. Degrees.
double half_angle_of(const Points& points, const Vec3& center, const Vec3& axis, double share);

/// Half-angle of the round cap with the same solid angle as the surface that the points cover: per
/// 24 sectors about their mean direction the angle reached, from the order statistic at 95 % (one
/// stray point in a sector changes nothing), sectors without points counting as nothing.
double seen_half_angle(const Points& points, const Vec3& center);

/// Mean unit direction from `center`.
Vec3 mean_direction(const Points& points, const Vec3& center);

/// Two unit vectors that complete `axis` to a right-handed frame; u is as near as possible to the
/// frame's X axis (Y where the axis is along X).
std::pair<Vec3, Vec3> across(const Vec3& axis);

}  // namespace rigproof
