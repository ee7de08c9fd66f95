#include "locate/bar_match.h"

#include <algorithm>

#include <gtest/gtest.h>

namespace rigproof {
namespace {

BallSighting seen(const Vec3& center, double radius = 5) {
  BallSighting s;
  s.sphere = {center, radius};
  return s;
}

Artefact plate(std::size_t balls, double diameter_mm) {
  Artefact a;
  a.kind = ArtefactKind::bar;
  for (std::size_t i = 0; i < balls; ++i)
    a.balls.push_back({std::to_string(i), {.mm = diameter_mm}, 0});
  return a;
}

void add_distance(Artefact& a, std::size_t from, std::size_t to, double mm) {
  a.distances.push_back({a.balls[from].id, a.balls[to].id, {.mm = mm}});
}

// An oblong grid matches itself in four ways; the one from left to right is taken. All distances
// are given, or those of neighbours and of three corners.
TEST(BarMatch, APlateOfTwoHundredEqualBallsIsFoundOnce) {
  constexpr std::size_t columns = 20, count = 200;
  const auto at = [](std::size_t i) -> Vec3 {
    return {30. * (i % columns), 40. * (i / columns), 900};
  };
  std::vector<BallSighting> balls;
  for (std::size_t i = 0; i < count; ++i) balls.push_back(seen(at(count - 1 - i)));
  for (const bool all : {false, true}) {
    Artefact a = plate(count, 10);
    for (std::size_t i = 0; i < count; ++i)
      for (std::size_t j = i + 1; j < count; ++j)
        if (all || i == 0 || i == columns - 1 || i == count - columns || j == i + 1 ||
            j == i + columns)
          add_distance(a, i, j, (at(i) - at(j)).norm());
    const auto matches = match_bar(balls, a, {});
    ASSERT_EQ(matches.size(), 1u) << all;
    EXPECT_LT(matches[0].distance_misfit, 1e-12);
    for (std::size_t i = 0; i < count; ++i)
      EXPECT_EQ(balls[matches[0].balls[i]].sphere.center, at(i)) << i;
  }
}

// Sixteen balls, of which a distance ties only the last two: that it does not fit shows at once,
// whatever else could be put where.
TEST(BarMatch, BallsThatNothingTiesAreAskedLast) {
  Artefact a = plate(16, 0);
  add_distance(a, 14, 15, 77);
  std::vector<BallSighting> balls;
  for (int i = 0; i < 20; ++i) balls.push_back(seen({100. * i, 0, 900}));
  EXPECT_TRUE(match_bar(balls, a, {}).empty());
}

// Eight pairs, each tied to no other: seven fit in millions of ways, the last in none.
TEST(BarMatch, ASearchWithoutEndEnds) {
  Artefact a = plate(16, 0);
  for (std::size_t i = 0; i < 16; i += 2) add_distance(a, i, i + 1, i == 14 ? 77 : 50);
  std::vector<BallSighting> balls;
  for (int i = 0; i < 12; ++i)
    for (const int side : {0, 50}) balls.push_back(seen({1000. * i, 1. * side, 900}));
  EXPECT_TRUE(match_bar(balls, a, {}).empty());
}

}  // namespace
}  // namespace rigproof
