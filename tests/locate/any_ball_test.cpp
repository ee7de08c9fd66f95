#include <algorithm>

#include <gtest/gtest.h>

#include "locate/ball_scene.h"

namespace rigproof {
namespace {

using namespace testing_scenes;

LocateRequest any_ball() {
  LocateRequest request;
  request.unknown_balls = true;
  return request;
}

class AnyBalls : public testing::TestWithParam<BallCase> {};

TEST_P(AnyBalls, AreFoundWithoutTheirSize) {
  BallScore score;
  for (std::uint64_t seed = 1; seed <= 6; ++seed) {
    const BallScene scene = make_ball_scene(GetParam(), seed);
    add_score(scene, locate_points(scene.points, any_ball()), score);
  }
  EXPECT_EQ(score.missed, 0);
  // The table carries standing tins and ends of cables; one wrong ball in six scenes is the most.
  EXPECT_LE(score.wrong, 1);
  ASSERT_FALSE(score.radius_errors.empty());
  std::ranges::sort(score.radius_errors);
  EXPECT_LT(score.radius_errors[score.radius_errors.size() / 2], 0.01);
}

INSTANTIATE_TEST_SUITE_P(Scenes,
                         AnyBalls,
                         testing::Values(BallCase{"fine", 1 / 500.},
                                         BallCase{"coarse", 1 / 50.},
                                         BallCase{"cap45", 1 / 500., 45}),
                         [](const auto& test) { return test.param.name; });

class NoBalls : public testing::TestWithParam<double> {};

TEST_P(NoBalls, InPlanes) {
  Random random(3);
  Points points;
  for (int i = 0; i < 40000; ++i)
    points.push(
        {random.uniform(-200, 200), random.uniform(-150, 150), 600 + GetParam() * random.normal()});
  LocateRequest request = any_ball();
  request.ball_diameters_mm = {20, 60};
  EXPECT_TRUE(locate_points(points, request).balls.empty());
}

TEST_P(NoBalls, InClouds) {
  Random random(4);
  Points blob, even;
  for (int i = 0; i < 20000; ++i) {
    blob.push({30 * random.normal(), 30 * random.normal(), 500 + 30 * random.normal()});
    even.push({random.uniform(-90, 90), random.uniform(-90, 90), 500 + random.uniform(-90, 90)});
  }
  LocateRequest request = any_ball();
  request.ball_diameters_mm = {20, 60 + GetParam()};
  EXPECT_TRUE(locate_points(blob, request).balls.empty());
  EXPECT_TRUE(locate_points(even, request).balls.empty());
}

INSTANTIATE_TEST_SUITE_P(Noise, NoBalls, testing::Values(0.0, 0.02, 1.0, 5.0));

TEST(NoBalls, InBoxesAndCylinders) {
  for (std::uint64_t seed = 1; seed <= 6; ++seed) {
    Random random(seed);
    const VirtualTable table = cluttered_table(random);
    VirtualTable::View view;
    view.columns = 260;
    view.rows = 208;
    view.noise_mm = 0.05;
    const Points points = table.scan(view, random);
    LocateRequest request;
    request.ball_diameters_mm = {12, 24, 36};  // cables and tins have these sizes
    EXPECT_TRUE(locate_points(points, request).balls.empty()) << "seed " << seed;
  }
}

TEST(NoBalls, AGentlyCurvedSurfaceIsToldInWords) {
  VirtualTable table;  // a panel of radius 2 m, seen over 20 cm
  table.balls.push_back({{{0, 0, 2700}, 2000}});
  VirtualTable::View view;
  view.half_width = view.half_height = 0.15;
  view.noise_mm = 0.02;
  Random random(1);
  const Sighting sighting = locate_points(table.scan(view, random), any_ball());
  EXPECT_TRUE(sighting.balls.empty());
  ASSERT_FALSE(sighting.near_misses.empty());
  EXPECT_NE(sighting.near_misses[0].find("round surface of radius"), std::string::npos);
  EXPECT_NE(sighting.near_misses[0].find("half-angle"), std::string::npos);
}

TEST(NoBalls, AHollowIsNotABall) {
  Random random(2);
  Points points;
  for (int i = 0; i < 40000; ++i) {
    const Vec3 n = random.direction();
    if (n.z() > 0.3) points.push(Vec3(0, 0, 600) + 30 * n);  // the far side of the sphere alone
  }
  LocateRequest request = any_ball();
  request.ball_diameters_mm = {60};
  EXPECT_TRUE(locate_points(points, request).balls.empty());
  request.sensor = Vec3(0, 0, 1200);  // from the other side it bulges
  EXPECT_EQ(locate_points(points, request).balls.size(), 1u);
}

TEST(NoBalls, WhatIsThereIsSaidWhenNothingAskedForIs) {
  VirtualTable table;
  table.balls.push_back({{{0, 0, 600}, 30 / 25.4}});
  table.planes.push_back({{0, 0, 610}, -Vec3::UnitZ()});
  VirtualTable::View view;
  view.half_width = view.half_height = 0.02;
  view.noise_mm = 0.001;
  Random random(1);
  LocateRequest request;
  request.ball_diameters_mm = {60};
  const Sighting sighting = locate_points(table.scan(view, random), request);
  EXPECT_TRUE(sighting.balls.empty());
  ASSERT_EQ(sighting.others.size(), 1u);
  EXPECT_NEAR(60 / (2 * sighting.others[0].sphere.radius), 25.4, 0.05);
  EXPECT_FALSE(sighting.near_misses.empty());
}

}  // namespace
}  // namespace rigproof
