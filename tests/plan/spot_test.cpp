#include <cmath>
#include <numbers>

#include <gmock/gmock.h>

#include "inputs/nominal.h"
#include "plan/plan.h"
#include "plan/plan_session.h"

namespace rigproof {
namespace {

PlacingRules rules_of(const Session& s) { return placing_rules(s.rig, *s.field(), s.procedure); }

TEST(Spots, EverySpotLiesInsideByTheClearanceAndIsSeen) {
  const Session session = session_before_scanning("R12");
  const PlacingRules rules = rules_of(session);
  for (const Artefact& a : session.artefacts) {
    const ArtefactShape shape = shape_of(a);
    const std::vector<Spot> spots = spots_of(shape, rules);
    EXPECT_GT(spots.size(), 10u) << a.serial;
    for (const Spot& s : spots) {
      EXPECT_GE(s.seen, rules.least_seen);
      for (const Vec3& p : touches(shape, s.pose, rules.cap_half_angle_deg)) {
        // A box: the clearance is the distance to each face.
        EXPECT_LE(std::abs(p.x()) + rules.clearance_mm, 150 + 1e-6);
        EXPECT_LE(std::abs(p.y()) + rules.clearance_mm, 100 + 1e-6);
        EXPECT_LE(std::abs(p.z() - 600) + rules.clearance_mm, 75 + 1e-6);
      }
    }
  }
}

// A bar of length L between the faces of a box of depth D leans at most by asin((D − 2c − …)/L):
// the caps of its balls reach r beyond the centres at the near end and r·cos 60° back at the far.
TEST(Spots, ABarLeansAsFarAsTheDepthAllows) {
  const Session session = session_before_scanning("R12");
  const PlacingRules rules = rules_of(session);
  const Artefact bar = nominal_bar(250, 30);
  const auto lean = largest_lean_deg(shape_of(bar), rules);
  ASSERT_TRUE(lean);
  const double room = 150 - 2 * rules.clearance_mm - 15;
  const double most = std::asin(room / 250) * 180 / std::numbers::pi;
  EXPECT_LE(*lean, most + 4.0);
  EXPECT_GE(*lean, most - 6.0);
}

TEST(Spots, WhatDoesNotFitStandsNowhere) {
  const Session session = session_before_scanning("R12");
  const PlacingRules rules = rules_of(session);
  const Artefact bar = nominal_bar(1000, 50), ball = nominal_ball(300);
  EXPECT_FALSE(largest_lean_deg(shape_of(bar), rules));
  EXPECT_FALSE(largest_lean_deg(shape_of(ball), rules));
  EXPECT_TRUE(spots_of(shape_of(bar), rules).empty());
}

// The near ball of a bar that points at the rig hides the far one.
TEST(Sight, ABallBehindAnotherIsNotSeen) {
  const Session session = session_before_scanning("R12");
  const PlacingRules rules = rules_of(session);
  const Artefact bar = nominal_bar(80, 30);
  const ArtefactShape shape = shape_of(bar);
  const Vec3 middle(0, 0, 600);
  const auto share = [&](const Vec3& direction) {
    return seen_share(shape, pose_at(ArtefactKind::bar, middle, direction), rules.eyes, 60);
  };
  EXPECT_LT(share({0, 0, 1}), 0.5);
  EXPECT_EQ(share({1, 0, 0}), 1);
}

TEST(Fits, SaysWhatIsTooShortOrTooLong) {
  const Session session = session_before_scanning("R12");
  const auto verdict = [&](const Artefact& a) {
    return fit_of(a, session.rig, *session.field(), session.procedure).verdict;
  };
  // L0 = √(300² + 200² + 150²) = 390.5 mm: bars from 0.3 L0 = 117 mm, balls from 7.8 to 78 mm, a
  // plate from 195 mm.
  EXPECT_EQ(verdict(nominal_bar(110, 20)), "too short");
  EXPECT_EQ(verdict(nominal_bar(120, 20)), "fits");
  EXPECT_EQ(verdict(nominal_bar(500, 30)), "too long");
  EXPECT_EQ(verdict(nominal_ball(7)), "too small");
  EXPECT_EQ(verdict(nominal_ball(30)), "fits");
  EXPECT_EQ(verdict(nominal_ball(85)), "too large");
  EXPECT_EQ(verdict(nominal_plate(150, 100)), "too short");
  EXPECT_EQ(verdict(nominal_plate(200, 150)), "fits");
  EXPECT_EQ(verdict(nominal_plate(400, 300)), "too long");
}

}  // namespace
}  // namespace rigproof
