#pragma once

#include <vector>

#include "evaluate/feature.h"

namespace rigproof {

/// A place of a ball that stands proud of the fitted sphere or below it.
struct Bump {
  Vec3 on_ball = Vec3::Zero();   ///< unit, in a frame of the bar's axis and the line of sight
  Vec3 in_space = Vec3::Zero();  ///< unit, sensor frame, from the ball's centre
  double height = 0;             ///< mm, median over the place
};

/// Places of about 10° with eight points or more whose median residual is beyond twice the scatter
/// of the points. Without an axis nothing tells how the ball was turned: no bumps.
std::vector<Bump> find_bumps(const BallFeature& ball, const Vec3& axis);

}  // namespace rigproof
