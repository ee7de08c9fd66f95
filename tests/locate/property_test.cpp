#include <algorithm>
#include <numeric>

#include <gtest/gtest.h>

#include "locate/ball_scene.h"

namespace rigproof {
namespace {

using namespace testing_scenes;

LocateRequest request_of(const BallScene& scene) {
  LocateRequest request;
  request.ball_diameters_mm = {scene.asked_mm};
  return request;
}

void expect_same_bits(const Sighting& a, const Sighting& b) {
  ASSERT_EQ(a.balls.size(), b.balls.size());
  ASSERT_EQ(a.plates.size(), b.plates.size());
  for (std::size_t i = 0; i < a.balls.size(); ++i) {
    EXPECT_EQ(a.balls[i].sphere.center, b.balls[i].sphere.center);
    EXPECT_EQ(a.balls[i].sphere.radius, b.balls[i].sphere.radius);
    EXPECT_EQ(a.balls[i].view_axis, b.balls[i].view_axis);
    EXPECT_EQ(a.balls[i].scatter_mm, b.balls[i].scatter_mm);
    EXPECT_EQ(a.balls[i].support, b.balls[i].support);
  }
  for (std::size_t i = 0; i < a.plates.size(); ++i) {
    EXPECT_EQ(a.plates[i].plane.normal, b.plates[i].plane.normal);
    EXPECT_EQ(a.plates[i].length_mm, b.plates[i].length_mm);
  }
  EXPECT_EQ(a.near_misses, b.near_misses);
}

/// The same balls, b's carried by `motion`, to a part of the radius.
void expect_moved(const Sighting& a, const Sighting& b, const RigidTransform& motion, double part) {
  ASSERT_EQ(a.balls.size(), b.balls.size());
  for (const BallSighting& ball : a.balls) {
    const Vec3 moved = motion * ball.sphere.center;
    EXPECT_TRUE(std::ranges::any_of(b.balls, [&](const BallSighting& other) {
      return (other.sphere.center - moved).norm() < part * ball.sphere.radius &&
             std::abs(other.sphere.radius - ball.sphere.radius) < part * ball.sphere.radius &&
             other.view_axis.dot(motion.rotation * ball.view_axis) > 0.97;
    }));
  }
}

TEST(Sighting, SameBitsWithAnyNumberOfThreads) {
  for (std::uint64_t seed = 1; seed <= 3; ++seed) {
    const BallScene scene = make_ball_scene({"", 1 / 300.}, seed);
    LocateRequest request = request_of(scene);
    request.unknown_balls = request.unknown_plates = seed == 1;
    const Sighting one = locate_points(scene.points, request, 1);
    expect_same_bits(one, locate_points(scene.points, request, 2));
    expect_same_bits(one, locate_points(scene.points, request, 5));
  }
}

TEST(Sighting, DoesNotDependOnTheOrderOfThePoints) {
  for (std::uint64_t seed = 1; seed <= 4; ++seed) {
    const BallScene scene = make_ball_scene({"", 1 / 300.}, seed);
    std::vector<std::size_t> order(scene.points.size());
    std::iota(order.begin(), order.end(), 0);
    Random random(seed);
    for (std::size_t i = order.size() - 1; i > 0; --i)
      std::swap(order[i], order[random.below(i + 1)]);
    Points shuffled;
    shuffled.origin = scene.points.origin;
    for (std::size_t i : order) {
      const Vec3 p = scene.points.local(i);
      shuffled.push_local(p.x(), p.y(), p.z());
    }
    expect_moved(locate_points(scene.points, request_of(scene)),
                 locate_points(shuffled, request_of(scene)),
                 {},
                 2e-3);
  }
}

TEST(Sighting, MovesWithTheScene) {
  for (std::uint64_t seed = 1; seed <= 6; ++seed) {
    const BallScene scene = make_ball_scene({"", 1 / 300.}, seed);
    Random random(100 + seed);
    const RigidTransform motion{random_rotation(random), 4000 * random.direction()};
    Points moved;
    moved.origin = motion * scene.points.origin;
    for (std::size_t i = 0; i < scene.points.size(); ++i) moved.push(motion * scene.points.at(i));
    LocateRequest here = request_of(scene), there = here;
    here.sensor = Vec3::Zero();
    there.sensor = motion * Vec3(Vec3::Zero());
    const Sighting a = locate_points(scene.points, here), b = locate_points(moved, there);
    EXPECT_EQ(a.balls.size(), 3u);
    // The cells lie differently; what the M-estimator settles on hardly does.
    expect_moved(a, b, motion, 3e-3);
  }
}

TEST(Sighting, HasNoScale) {
  const BallScene scene = make_ball_scene({"", 1 / 300.}, 3);
  for (double scale : {1e-3, 1.0 / 25.4, 1e3}) {
    Points scaled;
    scaled.origin = scale * scene.points.origin;
    for (std::size_t i = 0; i < scene.points.size(); ++i) scaled.push(scale * scene.points.at(i));
    LocateRequest request = request_of(scene);
    request.ball_diameters_mm = {scale * scene.asked_mm};
    const Sighting sighting = locate_points(scaled, request);
    ASSERT_EQ(sighting.balls.size(), 3u);
    for (const BallSighting& b : sighting.balls)
      EXPECT_NEAR(b.sphere.radius / scale, 0.5 * scene.asked_mm, 0.02 * scene.asked_mm);
  }
}

TEST(Sighting, WithoutASensorIsTheSame) {
  const BallScene scene = make_ball_scene({"", 1 / 300.}, 5);
  Points around = scene.points;  // strays all round: the origin is inside
  Random random(1);
  for (int i = 0; i < 8000; ++i) around.push(1500 * random.uniform() * random.direction());
  EXPECT_EQ(locate_points(around, request_of(scene)).balls.size(), 3u);
}

TEST(Sighting, SurvivesPointsFarAway) {
  BallScene scene = make_ball_scene({"", 1 / 300.}, 2);
  for (double far : {1e30, -1e30, 1e12, 1e300}) scene.points.push({far, -far, far});
  LocateRequest request = request_of(scene);
  request.unknown_balls = true;
  EXPECT_EQ(locate_points(scene.points, request).balls.size(), 3u);
}

TEST(Sighting, OfAlmostNothingIsEmpty) {
  LocateRequest request;
  request.ball_diameters_mm = {30};
  request.plates = {{100, 50}};
  request.unknown_balls = request.unknown_plates = true;
  Points points;
  for (int n : {0, 1, 2, 3, 5, 20}) {
    while (static_cast<int>(points.size()) < n)
      points.push_local(points.size(), 0.5 * points.size(), 600);
    const Sighting sighting = locate_points(points, request);
    EXPECT_TRUE(sighting.balls.empty());
    EXPECT_TRUE(sighting.plates.empty());
  }
  Points same;
  for (int i = 0; i < 5000; ++i) same.push_local(1, 2, 3);
  EXPECT_TRUE(locate_points(same, request).balls.empty());
  EXPECT_TRUE(locate_points(same, {}).balls.empty());
}

}  // namespace
}  // namespace rigproof
