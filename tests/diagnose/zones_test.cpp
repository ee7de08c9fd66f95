#include "diagnose/zones.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace rigproof {
namespace {

// Width 300, height 200, depth 150 about z = 600: zones of 100 × 66.7 × 50 mm.
const Volume kVolume = Volume::box(300, 200, 150, 600);

ObservedBall ball(const std::string& scan, const std::string& id, const Vec3& at) {
  ObservedBall b;
  b.scan = scan;
  b.artefact = "bar";
  b.ball = id;
  b.sphere = {at, 15};
  return b;
}

const ZoneRecord& zone(const std::vector<ZoneRecord>& zones, const std::string& id) {
  return *std::ranges::find(zones, id, &ZoneRecord::zone);
}

TEST(Zones, ALengthCountsAtBothOfItsEnds) {
  Observations seen;
  seen.balls = {ball("s", "A", {-120, -80, 540}), ball("s", "B", {120, 80, 660})};
  const std::vector<RatedValue> values{
      {"s", "bar", "sphere_spacing", "", {"A", "B"}, 0.4},
      {"s", "bar", "probing_size", "A", {}, 0.7},
      {"s", "bar", "probing_form", "A", {}, 0.2},
      {"other", "bar", "probing_form", "A", {}, 3.0},
  };
  const auto zones = zone_records(kVolume, seen, values, {{"mid-top-left", 3}});
  ASSERT_EQ(zones.size(), 27u);
  EXPECT_EQ(zone(zones, "near-top-left").observations, 3);
  EXPECT_EQ(zone(zones, "near-top-left").worst_ratio, 0.7);
  EXPECT_EQ(zone(zones, "far-bottom-right").observations, 1);
  EXPECT_EQ(zone(zones, "far-bottom-right").worst_ratio, 0.4);
  EXPECT_EQ(zone(zones, "mid-middle-centre").observations, 0);
  EXPECT_FALSE(zone(zones, "mid-middle-centre").worst_ratio);
  EXPECT_EQ(zone(zones, "mid-top-left").views, 3);
  EXPECT_FALSE(zone(zones, "near-top-left").views);
}

TEST(Zones, APlateGivesEveryZoneItReachesOnePiece) {
  Observations seen;
  ObservedPlate p;
  p.scan = "s", p.artefact = "plate";
  p.center = {0, 0, 600};
  p.length_mm = 240, p.width_mm = 40;
  p.means.assign(kPatchesU * kPatchesV, 0);
  p.counts.assign(kPatchesU * kPatchesV, 100);
  p.means[0] = 0.010;                           // left end
  p.means[kPatchesU * kPatchesV - 1] = -0.005;  // right end
  seen.plates = {p};
  const std::vector<RatedValue> values{{"s", "plate", "flatness", "", {}, 0.9}};
  const auto zones = zone_records(kVolume, seen, values, {});
  EXPECT_EQ(zone(zones, "mid-middle-left").observations, 1);
  EXPECT_DOUBLE_EQ(*zone(zones, "mid-middle-left").worst_ratio, 0.9);
  // 5 µm on either side would be two thirds of the 15 µm that gave 0.9.
  EXPECT_DOUBLE_EQ(*zone(zones, "mid-middle-right").worst_ratio, 0.9 * 2 / 3);
  EXPECT_EQ(zone(zones, "mid-middle-centre").observations, 1);
  EXPECT_DOUBLE_EQ(*zone(zones, "mid-middle-centre").worst_ratio, 0);
  int reached = 0;
  for (const auto& z : zones) reached += z.observations;
  EXPECT_EQ(reached, 3);
}

}  // namespace
}  // namespace rigproof
