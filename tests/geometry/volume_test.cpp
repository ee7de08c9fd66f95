#include "geometry/volume.h"

#include <gtest/gtest.h>

#include "base/error.h"
#include "geometry/region.h"

namespace rigproof {
namespace {

TEST(Volume, BoxDiagonalAndMiddle) {
  const Volume v = Volume::box(300, 200, 150, 600);
  EXPECT_DOUBLE_EQ(v.diagonal(), std::sqrt(300. * 300 + 200 * 200 + 150 * 150));
  EXPECT_EQ(v.middle(), Vec3(0, 0, 600));
}

TEST(Volume, OutsideByIsTheDistanceToTheNearestFace) {
  const Volume v = Volume::box(300, 200, 150, 600);
  EXPECT_EQ(v.outside_by({0, 0, 600}), 0);
  EXPECT_DOUBLE_EQ(v.outside_by({151, 0, 600}), 1);
  EXPECT_DOUBLE_EQ(v.outside_by({0, -102, 600}), 2);
  EXPECT_DOUBLE_EQ(v.outside_by({0, 0, 522}), 3);
}

TEST(Volume, FrustumSideFacesLean) {
  const Volume v{500, 700, 200, 200, 400, 400};  // half width 100 + (z-500)/2
  EXPECT_EQ(v.outside_by({149, 0, 600}), 0);
  EXPECT_NEAR(v.outside_by({160, 0, 600}), 10 / std::hypot(1.0, 0.5), 1e-12);
}

TEST(Volume, NormalizedRoundTrips) {
  const Volume v{500, 700, 200, 150, 400, 300};
  for (const Vec3& n : {Vec3(-1, 1, -1), Vec3(0.3, -0.4, 0.5), Vec3(1, 1, 1)})
    EXPECT_TRUE(v.normalized(v.from_normalized(n)).isApprox(n, 1e-12));
}

TEST(Zones, TwentySevenEachAtItsOwnCentre) {
  const Volume v{500, 700, 200, 150, 400, 300};
  ASSERT_EQ(all_zone_ids().size(), 27u);
  for (const auto& id : all_zone_ids()) EXPECT_EQ(zone_id(v, zone_center(v, id)), id);
}

TEST(Zones, TopIsSmallerY) {
  const Volume v = Volume::box(300, 200, 150, 600);
  EXPECT_EQ(zone_id(v, {-140, -90, 530}), "near-top-left");
  EXPECT_EQ(zone_id(v, {140, 90, 670}), "far-bottom-right");
  EXPECT_EQ(zone_id(v, {0, 0, 600}), "mid-middle-centre");
  EXPECT_THROW(zone_center(v, "nowhere"), Error);
}

// The box must hold every point of its region: checked on a dense set of directions.
TEST(Region, ShellBoxHoldsTheCap) {
  for (const Vec3& axis :
       {Vec3(0, 0, -1), Vec3(1, 0, 0), Vec3(0.6, 0.0, -0.8), Vec3(0.36, 0.48, -0.8)})
    for (double half : {20.0, 60.0, 89.0, 120.0, 180.0}) {
      const ShellRegion shell{{10, -20, 600}, 13.5, 16.5, axis, half};
      const Box box = shell.box();
      int inside = 0;
      for (double x = -17; x <= 17; x += 1.7)
        for (double y = -17; y <= 17; y += 1.7)
          for (double z = -17; z <= 17; z += 1.7) {
            const Vec3 p = shell.center + Vec3(x, y, z);
            if (!shell.contains(p)) continue;
            ++inside;
            EXPECT_TRUE(box.contains(p)) << p.transpose() << " half " << half;
          }
      EXPECT_GT(inside, 0);
    }
}

TEST(Region, SlabContainsItsRectangleOnly) {
  SlabRegion slab{{{0, 0, 600}, {0, 0, -1}}, {1, 0, 0}, {0, 1, 0}, 150, 100, 2};
  EXPECT_TRUE(slab.contains({149, -99, 601.9}));
  EXPECT_FALSE(slab.contains({151, 0, 600}));
  EXPECT_FALSE(slab.contains({0, 0, 602.1}));
  EXPECT_TRUE(slab.box().contains({150, 100, 598}));
}

}  // namespace
}  // namespace rigproof
