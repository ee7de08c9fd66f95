#include "fit/lattice_hull.h"

#include <gtest/gtest.h>

#include "samples.h"

namespace rigproof {
namespace {

using samples::Random;
using Wide = LatticeHull::Wide;

// Side of a face, by plain integers: these tests stay below 2²⁰.
long side(const LatticeHull& hull, const LatticeHull::Face& f, const LatticeHull::Point& p) {
  const auto& a = hull.points()[f.v[0]];
  Wide sum = 0;
  for (int k = 0; k < 3; ++k) sum += f.exact[k] * (p[k] - a[k]);
  return (sum > 0) - (sum < 0);
}

// Closed surface of triangles, all points inside or on it.
void expect_hull(const LatticeHull& hull) {
  ASSERT_TRUE(hull.solid());
  const auto edges = hull.edges();
  EXPECT_EQ(2 * edges.size(), 3 * hull.faces().size());
  EXPECT_EQ(hull.vertices().size() + hull.faces().size(), edges.size() + 2);
  for (const auto& e : edges) EXPECT_NE(e.left, e.right);
  for (const auto& f : hull.faces()) {
    EXPECT_FALSE(f.exact[0] == 0 && f.exact[1] == 0 && f.exact[2] == 0);
    for (const auto& p : hull.points()) ASSERT_LE(side(hull, f, p), 0);
  }
}

// Six times the volume, exact.
Wide volume6(const LatticeHull& hull) {
  Wide sum = 0;
  for (const auto& f : hull.faces())
    for (int k = 0; k < 3; ++k) sum += f.exact[k] * hull.points()[f.v[0]][k];
  return sum;
}

TEST(LatticeHull, GridOfACubeHasTwelveFaces) {
  for (int turn = 0; turn < 5; ++turn) {
    std::vector<LatticeHull::Point> grid;
    for (int x = 0; x < 5; ++x)
      for (int y = 0; y < 5; ++y)
        for (int z = 0; z < 5; ++z) grid.push_back({x, y, z});
    Random g(turn);
    for (std::size_t i = grid.size(); i > 1; --i) std::swap(grid[i - 1], grid[g() % i]);
    LatticeHull hull;
    for (const auto& p : grid) hull.add(p);
    expect_hull(hull);
    EXPECT_EQ(volume6(hull), 6 * 64);
    for (int v : {0, 4})  // all corners are there, whatever lies in line with them
      for (int w : {0, 4})
        for (int u : {0, 4}) {
          bool found = false;
          for (int i : hull.vertices()) found |= hull.points()[i] == LatticeHull::Point{v, w, u};
          EXPECT_TRUE(found);
        }
  }
}

TEST(LatticeHull, RandomPointsWithManyCoplanar) {
  Random g(2);
  for (int size : {3, 10, 100, 100'000})
    for (int k = 0; k < 20; ++k) {
      LatticeHull hull;
      for (int i = 0; i < 150; ++i) {
        LatticeHull::Point p;
        for (auto& x : p) x = static_cast<std::int64_t>(samples::uniform(g, -size, size));
        hull.add(p);
      }
      expect_hull(hull);
    }
}

TEST(LatticeHull, FullRangeOfCoordinatesIsExact) {
  const auto m = static_cast<std::int64_t>(LatticeHull::kLimit);
  LatticeHull hull;
  for (std::int64_t x : {-m, m})
    for (std::int64_t y : {-m, m})
      for (std::int64_t z : {-m, m}) hull.add({x, y, z});
  EXPECT_EQ(hull.faces().size(), 12u);
  EXPECT_FALSE(hull.add({m, m - 1, 0}));          // on a face
  EXPECT_FALSE(hull.add({m - 1, m - 1, m - 1}));  // inside by one step
  EXPECT_EQ(hull.vertices().size(), 8u);
}

TEST(LatticeHull, FlatSetsAreNotSolid) {
  LatticeHull hull;
  for (int i = 0; i < 20; ++i) EXPECT_FALSE(hull.add({3, 3, 3}));
  for (int i = 0; i < 20; ++i) EXPECT_FALSE(hull.add({i, i, i}));
  for (int i = 0; i < 20; ++i) EXPECT_FALSE(hull.add({i, 7 * i % 5, 0 * i + i}));
  EXPECT_FALSE(hull.solid());
  EXPECT_TRUE(hull.add({100, 3, -50}));
  expect_hull(hull);
}

}  // namespace
}  // namespace rigproof
