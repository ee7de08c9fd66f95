#include <cmath>

#include <gtest/gtest.h>

#include "locate/locate_points.h"
#include "locate/virtual_table.h"

namespace rigproof {
namespace {

using namespace testing_scenes;

VirtualTable::View view_of(double noise) {
  VirtualTable::View view;
  view.columns = 300;
  view.rows = 240;
  view.noise_mm = noise;
  view.outliers = 0.02;
  view.flying = 0.2;
  return view;
}

/// A plate of 160 × 100 mm, somewhere over a table, tilted against it.
VirtualTable::Box plate(Random& random) {
  const Vec3 axis(random.uniform(-1, 1), random.uniform(-1, 1), 0);
  const Mat3 turn = Eigen::AngleAxisd(random.uniform(-0.6, 0.6), axis.normalized()) *
                    Eigen::AngleAxisd(random.uniform(0, 3), Vec3::UnitZ()).toRotationMatrix();
  return {{turn, Vec3(random.uniform(-40, 40), random.uniform(-30, 30), 580)}, {80, 50, 4}};
}

class NominalPlate : public testing::TestWithParam<double> {};

TEST_P(NominalPlate, IsFoundOverATable) {
  for (std::uint64_t seed = 1; seed <= 8; ++seed) {
    Random random(seed);
    VirtualTable table = cluttered_table(random);
    const VirtualTable::Box box = plate(random);
    table.boxes.push_back(box);
    LocateRequest request;
    request.plates = {{160, 100}};
    const Sighting sighting = locate_points(table.scan(view_of(GetParam()), random), request);
    int nominal = 0;
    for (const PlateSighting& p : sighting.plates) {
      if (!p.is_nominal) continue;
      ++nominal;
      const Vec3 normal = -box.pose.rotation.col(2);
      const Vec3 face = box.pose.translation + 4 * normal;
      EXPECT_LT(std::acos(std::min(1.0, p.plane.normal.dot(normal))) * 180 / M_PI,
                0.05 + 0.3 * GetParam());
      EXPECT_LT(std::abs(normal.dot(p.plane.point - face)), 0.02 + 0.2 * GetParam());
      EXPECT_LT((p.plane.point - face).norm(), 5);
      EXPECT_NEAR(p.length_mm, 160, 8);
      EXPECT_NEAR(p.width_mm, 100, 8);
      EXPECT_GT(std::abs(p.axis_u.dot(box.pose.rotation.col(0))), std::cos(3 * M_PI / 180));
      EXPECT_NEAR(p.axis_u.cross(p.axis_v).dot(p.plane.normal), 1, 1e-9);
      // Noise along the ray stands across the plate by the cosine of its tilt.
      EXPECT_LT(p.scatter_mm, 1.3 * GetParam());  // strays at the rim add to it
      EXPECT_GT(p.scatter_mm, 0.6 * GetParam());
    }
    EXPECT_EQ(nominal, 1) << "seed " << seed;
    EXPECT_EQ(sighting.plates.size(), 1u) << "seed " << seed;
  }
}

INSTANTIATE_TEST_SUITE_P(Noise, NominalPlate, testing::Values(0.005, 0.05, 0.3, 1.0));

TEST(Plates, FiveMillimetreStepsAreSeveralPlates) {
  for (double noise : {0.01, 0.1, 0.3}) {
    VirtualTable stairs;
    for (int i = 0; i < 4; ++i)
      stairs.boxes.push_back(
          {{Mat3::Identity(), Vec3(-75 + 50 * i, 0, 620 + 5 * i)}, {25, 60, 20}});
    Random random(1);
    LocateRequest request;
    request.unknown_plates = true;
    const Sighting sighting = locate_points(stairs.scan(view_of(noise), random), request);
    ASSERT_EQ(sighting.plates.size(), 4u) << noise;
    std::vector<double> heights;
    for (const PlateSighting& p : sighting.plates) heights.push_back(p.plane.point.z());
    std::ranges::sort(heights);
    for (int i = 0; i < 4; ++i) EXPECT_NEAR(heights[i], 600 + 5 * i, 0.02 + noise) << noise;
  }
}

TEST(Plates, APlateLyingFiveMillimetresAboveATableIsNotTheTable) {
  VirtualTable table;
  table.planes.push_back({{0, 0, 650}, -Vec3::UnitZ()});
  table.boxes.push_back({{Mat3::Identity(), Vec3(20, 10, 647.5)}, {80, 50, 2.5}});
  Random random(1);
  LocateRequest request;
  request.plates = {{160, 100}};
  request.unknown_plates = true;
  const Sighting sighting = locate_points(table.scan(view_of(0.05), random), request);
  ASSERT_GE(sighting.plates.size(), 2u);
  EXPECT_FALSE(sighting.plates[0].is_nominal);
  EXPECT_NEAR(sighting.plates[0].plane.point.z(), 650, 0.1);
  EXPECT_TRUE(sighting.plates[1].is_nominal);
  EXPECT_NEAR(sighting.plates[1].plane.point.z(), 645, 0.1);
}

TEST(Plates, ACableAcrossAPlateDoesNotCutIt) {
  VirtualTable table;
  table.planes.push_back({{0, 0, 700}, -Vec3::UnitZ()});
  table.boxes.push_back({{Mat3::Identity(), Vec3(0, 0, 620)}, {80, 50, 4}});
  table.cylinders.push_back({{-20, -120, 610}, {10, 120, 610}, 4});
  Random random(2);
  LocateRequest request;
  request.plates = {{160, 100}};
  const Sighting sighting = locate_points(table.scan(view_of(0.05), random), request);
  ASSERT_EQ(sighting.plates.size(), 1u);
  EXPECT_NEAR(sighting.plates[0].length_mm, 160, 6);
}

TEST(Plates, ABowOfTheRigDoesNotHideAPlate) {
  Random random(3);
  Points points;  // 0.3 mm of bow on 160 × 100, noise 5 µm
  for (int i = 0; i < 40000; ++i) {
    const double x = random.uniform(-80, 80), y = random.uniform(-50, 50);
    points.push({x, y, 600 + 0.3 * x * x / 6400 + 0.005 * random.normal()});
  }
  LocateRequest known, any;
  known.plates = {{160, 100}};
  any.unknown_plates = true;
  EXPECT_EQ(locate_points(points, known).plates.size(), 1u);
  const Sighting unasked = locate_points(points, any);
  ASSERT_FALSE(unasked.plates.empty());  // a strip at the rim may count for itself
  EXPECT_GT(unasked.plates[0].length_mm, 140);
}

/// A ball and a tin of one radius, each alone before the camera.
std::vector<VirtualTable> curved_bodies(double radius) {
  VirtualTable ball, tin;
  ball.balls.push_back({{{0, 0, 600 + radius}, radius}});
  tin.cylinders.push_back({{0, -150, 600 + radius}, {0, 150, 600 + radius}, radius});
  return {ball, tin};
}

TEST(Plates, CurvedSurfacesAreNone) {
  LocateRequest request;
  request.unknown_plates = true;
  for (double radius : {60.0, 150.0, 400.0, 2000.0})  // the last fill the view: curved panels
    for (double noise : {0.005, 0.05, 0.2, 0.5})
      for (const VirtualTable& body : curved_bodies(radius)) {
        Random random(4);
        EXPECT_TRUE(locate_points(body.scan(view_of(noise), random), request).plates.empty())
            << "radius " << radius << " noise " << noise;
      }
}

TEST(Plates, APlateBeforeACurvedSurfaceIsOneStill) {
  LocateRequest request;
  request.unknown_plates = true;
  for (double radius : {150.0, 2000.0})
    for (VirtualTable body : curved_bodies(radius)) {
      body.boxes.push_back({{Mat3::Identity(), Vec3(10, 10, 590)}, {60, 40, 4}});
      Random random(5);
      const Sighting sighting = locate_points(body.scan(view_of(0.05), random), request);
      ASSERT_EQ(sighting.plates.size(), 1u) << radius;
      EXPECT_NEAR(sighting.plates[0].plane.point.z(), 586, 0.1);
      EXPECT_NEAR(sighting.plates[0].length_mm, 120, 5);
    }
}

TEST(Plates, OtherFlatSurfacesAreToldInWords) {
  Random random(5);
  const VirtualTable table = cluttered_table(random);
  LocateRequest request;
  request.plates = {{500, 31}};
  const Sighting sighting = locate_points(table.scan(view_of(0.05), random), request);
  EXPECT_TRUE(sighting.plates.empty());
  ASSERT_FALSE(sighting.near_misses.empty());
  EXPECT_EQ(sighting.near_misses[0].rfind("flat surface ", 0), 0u);
}

}  // namespace
}  // namespace rigproof
