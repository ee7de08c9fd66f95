#include "inputs/artefact_shape.h"

#include <cmath>

#include <gtest/gtest.h>

namespace rigproof {
namespace {

// A plan's (1, 1, 1) is the space diagonal of the box: its edges as a vector, by Pythagoras.
TEST(PlannedDirection, OfABarIsNormalisedToTheVolume) {
  const Volume box = Volume::box(300, 200, 150, 600);
  const Vec3 diagonal = Vec3(300, 200, 150) / std::sqrt(300.0 * 300 + 200 * 200 + 150 * 150);
  EXPECT_LT((direction_in(box, ArtefactKind::bar, {1, 1, 1}) - diagonal).norm(), 1e-15);
  const auto back = normalized_direction(box, ArtefactKind::bar, 37 * diagonal);
  for (const double part : back) EXPECT_NEAR(part, 1 / std::sqrt(3.0), 1e-15);
}

TEST(PlannedDirection, OfAPlateIsItsNormalInMillimetres) {
  const Volume box = Volume::box(300, 200, 150, 600);
  EXPECT_LT((direction_in(box, ArtefactKind::plate, {0, 3, -4}) - Vec3(0, 0.6, -0.8)).norm(),
            1e-15);
  const auto back = normalized_direction(box, ArtefactKind::plate, {0, 30, -40});
  EXPECT_NEAR(back[1], 0.6, 1e-15);
  EXPECT_NEAR(back[2], -0.8, 1e-15);
}

// A frustum stands for the box of its mean section.
TEST(PlannedDirection, OfAFrustumTakesItsMeanSize) {
  Volume v = Volume::box(300, 200, 150, 600);
  v.near_width = 250, v.far_width = 350, v.near_height = 150, v.far_height = 250;
  const Vec3 leaning(300, 0, 150);
  EXPECT_LT((direction_in(v, ArtefactKind::bar, {1, 0, 1}) - leaning.normalized()).norm(), 1e-15);
  const auto back = normalized_direction(v, ArtefactKind::bar, leaning);
  EXPECT_NEAR(back[0], std::sqrt(0.5), 1e-15);
  EXPECT_NEAR(back[2], std::sqrt(0.5), 1e-15);
}

}  // namespace
}  // namespace rigproof
