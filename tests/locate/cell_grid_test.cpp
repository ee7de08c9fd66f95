#include "locate/cell_grid.h"

#include <map>
#include <numeric>

#include <gtest/gtest.h>

#include "locate/virtual_table.h"

namespace rigproof {
namespace {

using testing_scenes::Random;

Points cloud(std::size_t n, std::uint64_t seed) {
  Random random(seed);
  Points points;
  for (std::size_t i = 0; i < n; ++i)
    points.push_local(
        random.uniform(-9, 9), random.uniform(-7, 3), 0.3 * random.normal() + random.uniform());
  return points;
}

TEST(CellGrid, HoldsEveryPointOnceInTheCellOfItsCoordinates) {
  const Points points = cloud(40000, 1);
  const CellGrid grid(points, 0.7, {0.1, -0.2, 0.3}, 2);
  std::map<CellAddress, std::vector<std::uint32_t>> plain;
  for (std::uint32_t i = 0; i < points.size(); ++i) {
    const Vec3 v = (points.local(i) - grid.origin()) / 0.7;
    plain[{static_cast<int>(std::floor(v.x())),
           static_cast<int>(std::floor(v.y())),
           static_cast<int>(std::floor(v.z()))}]
        .push_back(i);
  }
  ASSERT_EQ(grid.size(), plain.size());
  for (const auto& [address, items] : plain) {
    const std::int64_t cell = grid.find(address);
    ASSERT_GE(cell, 0);
    EXPECT_EQ(grid.address(cell), address);
    const std::vector<std::uint32_t> held(grid.items().begin() + grid.item_begin(cell),
                                          grid.items().begin() + grid.item_begin(cell + 1));
    EXPECT_EQ(held, items);
  }
  EXPECT_EQ(grid.find({1000, 1000, 1000}), -1);
  EXPECT_EQ(grid.find({INT32_MAX, 0, INT32_MIN}), -1);
}

TEST(CellGrid, NeighboursAndNearCellsAreThoseOfAPlainSearch) {
  const Points points = cloud(3000, 2);
  const CellGrid grid(points, 0.6, Vec3::Zero(), 1);
  for (std::size_t c = 0; c < grid.size(); c += 7) {
    std::vector<std::size_t> near, plain, ball, plain_ball;
    grid.for_neighbours(c, [&](std::size_t o, int dx, int dy, int dz) {
      const CellAddress &a = grid.address(c), &b = grid.address(o);
      EXPECT_EQ(b, (CellAddress{a[0] + dx, a[1] + dy, a[2] + dz}));
      near.push_back(o);
    });
    grid.for_cells_near(grid.middle(c), 2, [&](std::size_t o) { ball.push_back(o); });
    for (std::size_t o = 0; o < grid.size(); ++o) {
      int far = 0;
      for (int k = 0; k < 3; ++k)
        far = std::max(far, std::abs(grid.address(o)[k] - grid.address(c)[k]));
      if (far <= 1) plain.push_back(o);
      if ((grid.middle(o) - grid.middle(c)).norm() <= 2) plain_ball.push_back(o);
    }
    std::ranges::sort(near);
    std::ranges::sort(ball);
    EXPECT_EQ(near, plain);
    EXPECT_EQ(ball, plain_ball);
  }
}

TEST(CellGrid, IsTheSameWithAnyNumberOfThreads) {
  const Points points = cloud(100000, 3);
  const CellGrid one(points, 0.3, Vec3::Zero(), 1), three(points, 0.3, Vec3::Zero(), 3);
  ASSERT_EQ(one.size(), three.size());
  EXPECT_EQ(one.items(), three.items());
  for (std::size_t c = 0; c < one.size(); ++c) {
    EXPECT_EQ(one.address(c), three.address(c));
    EXPECT_EQ(one.moments(c).q4, three.moments(c).q4);
  }
}

TEST(CellGrid, LeavesOutPointsOutOfReachWithoutGrowing) {
  Points points = cloud(1000, 4);
  for (double far : {1e30, -1e30, 1e300, 1e9}) points.push_local(far, 0, -far);
  const CellGrid grid(points, 0.5, Vec3::Zero(), 2);
  EXPECT_EQ(grid.items().size(), 1000u);
  EXPECT_LT(grid.size(), 1001u);
  EXPECT_EQ(CellGrid(Points{}, 1, Vec3::Zero(), 1).size(), 0u);
}

void expect_moments(const CellMoments& a, const CellMoments& b) {
  EXPECT_EQ(a.n, b.n);
  const double scale = 1e-12 * std::max(1.0, b.n);
  EXPECT_LT((a.q - b.q).norm(), 10 * scale);
  EXPECT_LT((a.second() - b.second()).norm(), 10 * scale);
  EXPECT_LT((a.q2q - b.q2q).norm(), 30 * scale);
  EXPECT_NEAR(a.q4, b.q4, 100 * scale);
}

TEST(CellMoments, MovedAndScaledSumsEqualDirectOnes) {
  Random random(5);
  CellMoments fine, direct;
  const Vec3 t(0.7, -1, 0.25);
  for (int i = 0; i < 100; ++i) {
    const Vec3 q(random.uniform(-0.5, 0.5), random.uniform(-0.5, 0.5), random.uniform(-0.5, 0.5));
    fine.add(q.x(), q.y(), q.z());
    const Vec3 p = 0.5 * q + t;
    direct.add(p.x(), p.y(), p.z());
  }
  CellMoments moved;
  moved.add_moved(fine.scaled(0.5), t);
  expect_moments(moved, direct);
}

TEST(CellGrid, CoarserCellsEqualCellsOfTwiceTheEdge) {
  const Points points = cloud(20000, 6);
  const Vec3 origin(0.05, 0, -0.4);
  const CellGrid coarser(CellGrid(points, 0.25, origin, 2), 2), direct(points, 0.5, origin, 2);
  ASSERT_EQ(coarser.size(), direct.size());
  for (std::size_t c = 0; c < direct.size(); ++c) {
    const std::int64_t same = coarser.find(direct.address(c));
    ASSERT_GE(same, 0);
    expect_moments(coarser.moments(same), direct.moments(c));
  }
}

}  // namespace
}  // namespace rigproof
