#include "fit/lattice_hull.h"

#include <cmath>

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

// Points next to an oblique face, nearer than a double can tell on which side.
TEST(LatticeHull, SidesThatRoundingCannotTellAreExact) {
  Random g(7);
  const auto far = [&] {
    LatticeHull::Point p;
    for (auto& x : p)
      x = static_cast<std::int64_t>(samples::uniform(g, -LatticeHull::kLimit, LatticeHull::kLimit));
    return p;
  };
  int inside = 0, outside = 0;
  for (int trial = 0; trial < 4; ++trial) {
    LatticeHull simplex;
    for (int i = 0; i < 4; ++i) simplex.add(far());
    ASSERT_TRUE(simplex.solid());
    const LatticeHull::Face face = simplex.faces()[0];
    const auto& a = simplex.points()[face.v[0]];
    for (int k = 0; k < 20'000; ++k) {
      const double s = samples::uniform(g, 0.1, 0.8), t = samples::uniform(g, 0.1, 0.9 - s);
      LatticeHull::Point p;
      for (int i = 0; i < 3; ++i) {
        const auto& b = simplex.points()[face.v[1]];
        const auto& c = simplex.points()[face.v[2]];
        p[i] = a[i] + std::llround(s * static_cast<double>(b[i] - a[i]) +
                                   t * static_cast<double>(c[i] - a[i]));
      }
      Wide sum = 0;
      double size = 0;
      for (int i = 0; i < 3; ++i) {
        sum += face.exact[i] * (p[i] - a[i]);
        size += std::abs(static_cast<double>(face.exact[i]) * static_cast<double>(p[i] - a[i]));
      }
      if (sum == 0 || std::abs(static_cast<double>(sum)) > 1e-14 * size) continue;
      LatticeHull hull = simplex;
      EXPECT_EQ(hull.add(p), sum > 0);
      ++(sum > 0 ? outside : inside);
    }
  }
  EXPECT_GT(inside, 10);
  EXPECT_GT(outside, 10);
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
