#include "judge/positions.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace rigproof {
namespace {

const Volume kVolume = Volume::box(300, 200, 150, 600);
const SamePlace kSame = SamePlace::for_volume(&kVolume);

PlacedArtefact bar(int scan, const Vec3& at, const Vec3& along, const std::string& serial = "b") {
  const Vec3 d = along.normalized();
  return {"scans/" + std::to_string(scan),
          ArtefactKind::bar,
          serial,
          at,
          d,
          {at - 100 * d, at + 100 * d},
          true};
}

PlacedArtefact ball(int scan, const Vec3& at) {
  return {"scans/" + std::to_string(scan), ArtefactKind::ball, "k", at, Vec3::Zero(), {at}, true};
}

TEST(Positions, CountsDistinctPlacesByKind) {
  const std::vector<PlacedArtefact> placed{
      bar(0, {0, 0, 600}, {1, 0, 0}),
      bar(1, {0, 0, 600}, {0, 1, 0}),      // same middle, other direction
      bar(2, {3, 2, 602}, {-1, 0.02, 0}),  // the first again, turned end for end
      bar(3, {0, 0, 640}, {1, 0, 0}),
      ball(4, {50, 0, 600}),
      ball(5, {52, 1, 601}),
      ball(6, {-50, 0, 600})};
  const Positions p = count_positions(placed, false, kSame);
  EXPECT_EQ(p.bars, 3);
  EXPECT_EQ(p.balls, 2);
  EXPECT_EQ(p.plates, 0);
  EXPECT_THAT(p.first_at, testing::ElementsAre(0, 1, 0, 3, 4, 4, 6));
  EXPECT_EQ(count_positions(placed, true, kSame).balls, 2 + 6);
}

TEST(Positions, WhatDoesNotCountIsNoPosition) {
  std::vector<PlacedArtefact> placed{bar(0, {0, 0, 600}, {1, 0, 0}),
                                     bar(1, {0, 0, 600}, {1, 0, 0})};
  placed[0].counts = false;
  const Positions p = count_positions(placed, true, kSame);
  EXPECT_EQ(p.bars, 1);
  EXPECT_EQ(p.balls, 2);
  EXPECT_THAT(p.first_at, testing::ElementsAre(-1, 1));
}

TEST(Positions, ClosingRepeatIsTheWidestPairOfOneBar) {
  const Vec3 at(0, 0, 600), depth(0, 0.3, 1);
  std::vector<PlacedArtefact> placed{bar(0, at, depth, "long"),
                                     bar(1, {60, 0, 600}, {1, 0, 0}),
                                     bar(2, at, depth, "long"),
                                     bar(3, {0, 50, 620}, {0, 1, 0}),
                                     bar(4, {4, -3, 604}, depth, "long")};
  const auto closing = count_positions(placed, false, kSame).closing;
  ASSERT_TRUE(closing);
  EXPECT_EQ(*closing, (std::pair{0, 4}));
  placed[4].serial = "other";
  EXPECT_EQ(*count_positions(placed, false, kSame).closing, (std::pair{0, 2}));
  placed[2].counts = false;
  EXPECT_FALSE(count_positions(placed, false, kSame).closing);
  // Two scans in a row are a repeat, not a closing one.
  placed = {bar(0, at, depth), bar(1, at, depth)};
  EXPECT_FALSE(count_positions(placed, false, kSame).closing);
}

TEST(Positions, MissingOnesByPlan) {
  std::vector<PlanEntry> plan(3);
  plan[0] = {{"P01", ArtefactKind::ball, {-0.7, 0, 0}, {}, "mid-middle-left", false, ""}, ""};
  plan[1] = {{"P02", ArtefactKind::ball, {0.7, 0, 0}, {}, "mid-middle-right", false, ""}, ""};
  plan[2] = {{"P03", ArtefactKind::bar, {0, 0, 0}, {}, "", true, "P01"}, ""};
  const auto missing = missing_positions(
      plan, ArtefactKind::ball, {ball(0, {-100, 5, 605}), ball(1, {-95, 0, 590})}, kVolume);
  EXPECT_THAT(missing, testing::ElementsAre("P02, mid-middle-right"));
  EXPECT_TRUE(missing_positions(plan, ArtefactKind::bar, {}, kVolume).empty());
}

TEST(Positions, ClusteredWhenOneThirdHoldsMost) {
  std::vector<PlacedArtefact> spread, together;
  for (int k = 0; k < 9; ++k) {
    spread.push_back(ball(k, {-100.0 + 100 * (k % 3), -66.0 + 66 * (k / 3), 550.0 + 50 * (k % 3)}));
    together.push_back(ball(k, {-100.0 + 25 * k, -66.0 + 66 * (k % 3), 540.0 + 4 * k}));
  }
  EXPECT_FALSE(clustered(spread, count_positions(spread, false, kSame), kVolume));
  const auto finding = clustered(together, count_positions(together, false, kSame), kVolume);
  ASSERT_TRUE(finding);
  EXPECT_EQ(finding->id, "clustered");
  EXPECT_NE(finding->text.find("near third"), std::string::npos) << finding->text;
  // Long bars have their middles in the middle; what they reach counts.
  std::vector<PlacedArtefact> bars;
  for (int k = 0; k < 6; ++k)
    bars.push_back(bar(k, {0, 0, 600}, {1, 0.5 * (k % 3 - 1), 0.5 * (k / 3) - 0.2}));
  for (auto& b : bars) b.touches = {b.center - 130 * b.direction, b.center + 130 * b.direction};
  const auto f = clustered(bars, count_positions(bars, false, kSame), kVolume);
  if (f) {
    EXPECT_EQ(f->text.find("left to right"), std::string::npos) << f->text;
  }
}

}  // namespace
}  // namespace rigproof
