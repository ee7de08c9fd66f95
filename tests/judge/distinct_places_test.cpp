#include "judge/distinct_places.h"

#include <ctime>
#include <limits>

#include <gtest/gtest.h>

namespace rigproof {
namespace {

// 10 mm and 5 degrees make another place; which end of a bar is the first does not. The tolerances
// are our own decision (judge/positions.h).
TEST(DistinctPlaces, ARepeatIsNoPlace) {
  const Vec3 x = Vec3::UnitX(), none = Vec3::Zero(), at(-3, 5, 600);
  DistinctPlaces places({});
  EXPECT_TRUE(places.add("bar", at, x));
  EXPECT_FALSE(places.add("bar", at, -x));
  EXPECT_FALSE(places.add("bar", at + Vec3(7, 7, 0), Vec3(1, 0.08, 0))) << "9.9 mm, 4.6 degrees";
  EXPECT_TRUE(places.add("bar", at, Vec3(1, 0.09, 0))) << "5.1 degrees";
  EXPECT_TRUE(places.add("bar", at + Vec3(0, 0, 10.1), x));
  EXPECT_TRUE(places.add("ball", at, none));
  EXPECT_FALSE(places.add("ball", at + Vec3(0, -9.9, 0), none));
}

// From every side of a cell into its neighbours.
TEST(DistinctPlaces, NoBorderOfTheGridPartsWhatIsNear) {
  for (int side = 0; side < 27; ++side) {
    const Vec3 step(side % 3 - 1, side / 3 % 3 - 1, side / 9 - 1);
    DistinctPlaces places({});
    EXPECT_TRUE(places.add("ball", {0.1, 9.9, 605}, Vec3::Zero()));
    EXPECT_FALSE(places.add("ball", Vec3(0.1, 9.9, 605) + 5.7 * step, Vec3::Zero())) << side;
  }
}

TEST(DistinctPlaces, WhatIsNotFiniteIsLikeNothingElse) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  DistinctPlaces places({});
  for (int i = 0; i < 2; ++i) {
    EXPECT_TRUE(places.add("ball", {nan, 0, 0}, Vec3::Zero()));
    EXPECT_TRUE(places.add("bar", Vec3::Zero(), {0, nan, 0}));
  }
  EXPECT_TRUE(places.add("far", {1e30, -1e30, 1e30}, Vec3::Zero()));
  EXPECT_FALSE(places.add("far", {1e30, -1e30, 1e30}, Vec3::Zero()));
}

TEST(DistinctPlaces, ManyAreCountedInTime) {
#ifdef RIGPROOF_SANITIZED
  GTEST_SKIP() << "asks for speed";
#endif
  DistinctPlaces places({});
  const std::clock_t start = std::clock();
  int count = 0;
  for (int i = 0; i < 50; ++i)
    for (int j = 0; j < 40; ++j)
      for (int k = 0; k < 50; ++k)
        for (const double shift : {0.0, 4.0})
          count += places.add("bar", {10.1 * i + shift, 10.1 * j, 10.1 * k}, Vec3::UnitX());
  EXPECT_EQ(count, 100'000);
  // Each against each would be ten thousand million comparisons, a minute.
  EXPECT_LT(static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC, 10);
}

}  // namespace
}  // namespace rigproof
