#include <algorithm>

#include <gtest/gtest.h>

#include "locate/ball_scene.h"

namespace rigproof {
namespace {

using namespace testing_scenes;

struct KnownCase {
  BallCase scene;
  double median_center, worst_center;  // in radii
};

class KnownBalls : public testing::TestWithParam<KnownCase> {};

// Eight scenes with three balls each, among boxes, cables, tins, stems and strays; truth from the
// generator. The accuracies are stated beside each case: a centre along the view is known to about
// 7 scatter/√n for a wide cap and 26 scatter/√n for one of 30° (closed forms of the fit room), with
// n ≈ 300–1000 points here; the worst ball is half hidden behind something.
TEST_P(KnownBalls, AreAllFoundAndNothingElse) {
  const KnownCase& kind = GetParam();
  BallScore score;
  for (std::uint64_t seed = 1; seed <= 8; ++seed) {
    const BallScene scene = make_ball_scene(kind.scene, seed);
    LocateRequest request;
    request.ball_diameters_mm = {scene.asked_mm};
    add_score(scene, locate_points(scene.points, request), score);
  }
  EXPECT_EQ(score.missed, 0);
  EXPECT_EQ(score.wrong, 0);
  ASSERT_FALSE(score.center_errors.empty());
  std::ranges::sort(score.center_errors);
  EXPECT_LT(score.center_errors[score.center_errors.size() / 2], kind.median_center);
  EXPECT_LT(score.center_errors.back(), kind.worst_center);
}

INSTANTIATE_TEST_SUITE_P(
    Scenes,
    KnownBalls,
    testing::Values(KnownCase{{"clean", 1 / 5000., 180, 1, 0, 0}, 5e-4, 2e-3},
                    KnownCase{{"fine", 1 / 500.}, 1e-3, 0.02},
                    KnownCase{{"outliers", 1 / 500., 180, 1, 0.05, 0.3}, 2.5e-3, 0.02},
                    KnownCase{{"medium", 1 / 100.}, 5e-3, 0.03},
                    KnownCase{{"coarse", 1 / 30.}, 0.015, 0.06},
                    KnownCase{{"coarsest", 1 / 10., 180, 1, 0.02, 0.2, 360}, 0.04, 0.12},
                    KnownCase{{"cap60", 1 / 500., 60}, 2e-3, 0.03},
                    KnownCase{{"cap45", 1 / 500., 45}, 4e-3, 0.05},
                    KnownCase{{"cap30", 1 / 500., 30, 1, 0.02, 0.2, 360}, 0.01, 0.15},
                    KnownCase{{"large", 1 / 500., 180, 1.14}, 1e-3, 0.02},
                    KnownCase{{"small", 1 / 500., 180, 0.86}, 2e-3, 0.02},
                    KnownCase{{"large_cap45", 1 / 200., 45, 1.13}, 0.01, 0.08},
                    KnownCase{{"small_cap45", 1 / 200., 45, 0.87}, 0.01, 0.08}),
    [](const auto& test) { return test.param.scene.name; });

class OtherSizes : public testing::TestWithParam<BallCase> {};

TEST_P(OtherSizes, AreNotTakenForIt) {
  for (std::uint64_t seed = 1; seed <= 6; ++seed) {
    const BallScene scene = make_ball_scene(GetParam(), seed);
    LocateRequest request;
    request.ball_diameters_mm = {scene.asked_mm};
    const Sighting sighting = locate_points(scene.points, request);
    EXPECT_TRUE(sighting.balls.empty()) << "seed " << seed;
    EXPECT_FALSE(sighting.near_misses.empty()) << "seed " << seed;
    BallScore others;  // but they are told of, with their size
    Sighting as_others;
    as_others.balls = sighting.others;
    add_score(scene, as_others, others);
    EXPECT_GE(others.hit, 2) << "seed " << seed;
  }
}

INSTANTIATE_TEST_SUITE_P(Scenes,
                         OtherSizes,
                         testing::Values(BallCase{"larger", 1 / 500., 180, 1.25},
                                         BallCase{"smaller", 1 / 500., 180, 0.75},
                                         BallCase{"twice", 1 / 500., 180, 2, 0.02, 0.2, 260, 2}),
                         [](const auto& test) { return test.param.name; });

TEST(KnownBalls, OfSeveralSizesAtOnceEachHasItsNominal) {
  Random random(5);
  VirtualTable table = cluttered_table(random);
  const std::vector<double> radii{7, 12, 12, 20};
  const std::vector<Vec3> centers{{-90, -60, 560}, {-60, 50, 580}, {100, -50, 600}, {60, 60, 570}};
  for (std::size_t i = 0; i < radii.size(); ++i) table.balls.push_back({{centers[i], radii[i]}});
  VirtualTable::View view;
  view.columns = 320;
  view.rows = 260;
  LocateRequest request;
  request.ball_diameters_mm = {14, 24, 40};
  const Sighting sighting = locate_points(table.scan(view, random), request);
  ASSERT_EQ(sighting.balls.size(), 4u);
  for (const BallSighting& ball : sighting.balls) {
    const auto at = std::ranges::find_if(
        centers, [&](const Vec3& c) { return (c - ball.sphere.center).norm() < 0.1; });
    ASSERT_NE(at, centers.end());
    EXPECT_EQ(ball.nominal_mm, 2 * radii[at - centers.begin()]);
  }
  for (std::size_t i = 1; i < sighting.balls.size(); ++i)
    EXPECT_GE(sighting.balls[i - 1].support, sighting.balls[i].support);
}

TEST(KnownBalls, SayWhatWasSeenOfThem) {
  VirtualTable table;
  const Vec3 center(20, -30, 600);
  const double cap = 50;
  table.balls.push_back({{center, 30}, Vec3(0.2, 0.1, -1).normalized(), cap});
  table.planes.push_back({{0, 0, 720}, -Vec3::UnitZ()});
  VirtualTable::View view;
  view.noise_mm = 0.05;
  view.columns = 400;
  view.rows = 320;
  Random random(1);
  const Points points = table.scan(view, random);
  LocateRequest request;
  request.ball_diameters_mm = {60};
  const Sighting sighting = locate_points(points, request);
  ASSERT_EQ(sighting.balls.size(), 1u);
  const BallSighting& ball = sighting.balls[0];
  EXPECT_NEAR(ball.cap_half_angle_deg, cap, 2);
  EXPECT_LT(std::acos(ball.view_axis.dot(table.balls[0].axis)) * 180 / M_PI, 2);
  // Noise along the ray stands across the surface by the cosine between them: 0.64 to 1.
  EXPECT_GT(ball.scatter_mm, 0.7 * view.noise_mm);
  EXPECT_LT(ball.scatter_mm, 1.1 * view.noise_mm);
  std::size_t on = 0;
  for (std::size_t i = 0; i < points.size(); ++i)
    on += std::abs(ball.sphere.deviation(points.at(i))) < 4 * view.noise_mm;
  EXPECT_NEAR(static_cast<double>(ball.support), static_cast<double>(on), 0.02 * on);
}

}  // namespace
}  // namespace rigproof
