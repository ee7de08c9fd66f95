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

// A regular grid matches itself in eight ways at most; the one from left to right is taken. All
// distances are given, or those of neighbours alone.
TEST(BarMatch, APlateOfAHundredEqualBallsIsFoundOnce) {
  for (const bool all : {false, true}) {
    Artefact a = plate(100, 10);
    std::vector<BallSighting> balls;
    const auto at = [](std::size_t i) -> Vec3 { return {30. * (i % 10), 40. * (i / 10), 900}; };
    for (std::size_t i = 0; i < 100; ++i) balls.push_back(seen(at(i)));
    for (std::size_t i = 0; i < 100; ++i)
      for (std::size_t j = i + 1; j < 100; ++j)
        if (all || i == 0 || i == 9 || i == 90 || j == i + 1 || j == i + 10)
          add_distance(a, i, j, (at(i) - at(j)).norm());
    std::ranges::reverse(balls);
    const auto matches = match_bar(balls, a, {});
    ASSERT_EQ(matches.size(), 1u) << all;
    EXPECT_LT(matches[0].distance_misfit, 1e-12);
    for (const auto& d : a.distances) {
      const int i = std::stoi(d.from), j = std::stoi(d.to);
      EXPECT_NEAR(
          (balls[matches[0].balls[i]].sphere.center - balls[matches[0].balls[j]].sphere.center)
              .norm(),
          d.length.mm,
          1e-9);
    }
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
