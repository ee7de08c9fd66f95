#include "fit/extremes.h"

#include <gtest/gtest.h>

namespace rigproof {
namespace {

// Four runs of 512 heights about zero, in each of which two points stick out.
Points heights() {
  Points p;
  for (std::size_t i = 0; i < 2048; ++i) p.push_local(0, 0, i % 2 == 0 ? 0.1 : -0.1);
  for (std::size_t run = 0; run < 4; ++run) {
    p.z[512 * run + 7 * run] = 1 + 0.1 * static_cast<double>(run);
    p.z[512 * run + 300] = -1.5 + 0.1 * static_cast<double>(run);
  }
  return p;
}

constexpr double kGround[] = {0, 0, 0, 0, 0, 1};  // the plane z = 0

TEST(Extremes, TheFarthestOutComeFirstOnEachSide) {
  const Points p = heights();
  const Extremes e = extremes(p, plane_residual_block, kGround, -0.5, 0.5, 2);
  EXPECT_EQ(e.min, -1.5);
  EXPECT_EQ(e.max, 1.3);
  EXPECT_EQ(e.beyond, (std::vector<std::size_t>{300, 512 + 300, 1536 + 21, 1024 + 14}));
  EXPECT_EQ(extremes(p, plane_residual_block, kGround, -0.5, 0.5, 9).beyond.size(), 8u);
}

TEST(Extremes, WhatLiesOnTheBoundsIsNotBeyond) {
  const Points p = heights();
  const Extremes e = extremes(p, plane_residual_block, kGround, -1.4, 1.2, 9);
  EXPECT_EQ(e.beyond, (std::vector<std::size_t>{300, 1536 + 21}));
  EXPECT_TRUE(extremes(p, plane_residual_block, kGround, -1.5, 1.3, 9).beyond.empty());
  EXPECT_EQ(extremes(p, plane_residual_block, kGround, 0, 0, 0).beyond.size(), 0u);
}

TEST(Extremes, TiesGoByIndex) {
  Points p;
  for (std::size_t i = 0; i < 1500; ++i) p.push_local(0, 0, 1);
  const Extremes e = extremes(p, plane_residual_block, kGround, 0, 0, 2);
  EXPECT_EQ(e.beyond, (std::vector<std::size_t>{0, 512}));
}

}  // namespace
}  // namespace rigproof
