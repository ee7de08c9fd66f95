#include <cmath>
#include <numeric>

#include <gtest/gtest.h>

#include "locate/sighting.h"
#include "shared_data.h"

namespace rigproof {
namespace {

// Real scans by others, each with an answer computed independently (least squares over the points
// of the ball, see README.md and expected.csv beside the files): centres and radii below are copied
// from there. Locating is robust where they are plain, so that the two differ by what strays and
// the rim weigh: the tolerances say how much, in multiples of the residuals' rms.
struct RealBall {
  const char* file;
  double unit_mm, asked_mm;
  Vec3 center;
  double radius, tolerance;  // mm
};

void PrintTo(const RealBall& ball, std::ostream* out) { *out << ball.file; }

class RealBalls : public testing::TestWithParam<RealBall> {};

TEST_P(RealBalls, IsTheOnlyBallAndWhereItShouldBe) {
  const RealBall& real = GetParam();
  const std::string file = std::string("scans/") + real.file;
  RIGPROOF_SHARED_FILE(path, file);
  ScanOptions options;
  options.unit_mm = real.unit_mm;
  LocateRequest request;
  request.ball_diameters_mm = {real.asked_mm};
  const Sighting sighting = locate(Scan::open(path, options), request);
  ASSERT_EQ(sighting.balls.size(), 1u);
  const Sphere& sphere = sighting.balls[0].sphere;
  EXPECT_LT((sphere.center - real.center).norm(), real.tolerance);
  EXPECT_NEAR(sphere.radius, real.radius, real.tolerance);
}

// A Kinect's scatter is 1.3–5.9 mm there and rises towards the rim. Nominal radius 203 mm: this
// rig measures 5 to 10 % large and must still be found.
#define KINECT(n) "kinect_ball_out_of_tolerance/ball_cam2_f" n ".ply"
INSTANTIATE_TEST_SUITE_P(
    KinectLargeBall,
    RealBalls,
    testing::Values(
        RealBall{"kinect_ball_out_of_tolerance/scene_cam2_f00.ply",
                 1,
                 406,
                 {210.788269, 32.13734, 1178.84719},
                 214.12031,
                 3},
        RealBall{KINECT("10"), 1, 406, {137.080471, 67.9058026, 1394.86472}, 215.829074, 4},
        RealBall{KINECT("25"), 1, 406, {240.986085, 318.636391, 1896.08593}, 216.656635, 5},
        RealBall{KINECT("40"), 1, 406, {695.003825, 300.356824, 1995.87621}, 212.960734, 6},
        RealBall{KINECT("60"), 1, 406, {722.42613, -213.369972, 1827.06208}, 219.804299, 6},
        RealBall{KINECT("80"), 1, 406, {-224.409927, 100.839731, 1994.30412}, 224.890531, 6}));

#define DCCT(n) "kinect_spheres/ball_" n ".ply"
INSTANTIATE_TEST_SUITE_P(
    KinectSmallBalls,
    RealBalls,
    testing::Values(RealBall{DCCT("01"), 1, 240, {124.244, 184.3297, 992.5418}, 118.287, 2},
                    RealBall{DCCT("02"), 1, 240, {105.0303, -73.95011, 968.6963}, 119.005, 2},
                    RealBall{DCCT("03"), 1, 240, {-199.7212, -127.5114, 1088.764}, 118.07, 2},
                    RealBall{DCCT("04"), 1, 240, {217.9825, 181.2721, 1522.418}, 120.534, 3},
                    RealBall{DCCT("05"), 1, 240, {219.7168, 81.8154, 1417}, 119.498, 3},
                    RealBall{DCCT("06"), 1, 240, {-137.0726, 186.2041, 1469.457}, 119.654, 3},
                    RealBall{DCCT("07"), 1, 240, {-194.1208, -229.0547, 1429.548}, 118.237, 3},
                    RealBall{DCCT("08"), 1, 240, {211.1832, -85.70893, 1364.693}, 120.865, 3},
                    RealBall{DCCT("09"), 1, 240, {-25.79716, 112.6984, 1248.468}, 119.964, 3},
                    RealBall{DCCT("10"), 1, 240, {-495.4412, 321.2522, 1447.869}, 118.302, 3},
                    RealBall{DCCT("11"), 1, 240, {-587.3028, -173.9531, 1510.568}, 118.982, 3},
                    RealBall{DCCT("12"), 1, 240, {479.1365, 310.5021, 1495.48}, 119.058, 3}));

// Rooms scanned by a multi-beam LiDAR: the ball holds 111–415 of 14,000 points on a handful of
// rings, rms 8–12 mm. The error along the view is 7 rms/√n_eff, and n_eff is nearer to five times
// the 5–8 rings than to n, because a ring has one bias: about ± 15 mm, ± 20 where the holder's hand
// touches the few rings.
#define ROOM(n) "lidar_sphere_rooms/ex2_" n ".ply"
INSTANTIATE_TEST_SUITE_P(
    LidarRooms,
    RealBalls,
    testing::Values(RealBall{ROOM("L1_S1"), 1000, 600, {-2025.47, -1454.46, -229.15}, 288.68, 20},
                    RealBall{ROOM("L1_S2"), 1000, 600, {-2781.00, -389.04, -238.84}, 296.00, 20},
                    RealBall{ROOM("L1_S3"), 1000, 600, {-2997.07, -477.80, 32.36}, 300.32, 20},
                    RealBall{ROOM("L1_S4"), 1000, 600, {-2270.54, -1143.98, 235.17}, 301.33, 20},
                    RealBall{ROOM("L1_S5"), 1000, 600, {-2599.15, -1087.82, -194.61}, 278.21, 20},
                    RealBall{ROOM("L2_S1"), 1000, 600, {-2752.08, -51.43, 37.24}, 300.87, 20},
                    RealBall{ROOM("L2_S2"), 1000, 600, {-1760.52, -863.00, -252.24}, 291.88, 20},
                    RealBall{ROOM("L2_S3"), 1000, 600, {-1610.22, -541.12, -180.10}, 299.35, 20}));

// Simulated by the authors with a true radius of 2 m and 6.6 mm range noise; the true centres.
#define MADE(n) "lidar_sphere_rooms/synthetic_" n ".ply"
INSTANTIATE_TEST_SUITE_P(
    LidarSimulated,
    RealBalls,
    testing::Values(RealBall{MADE("S1"), 1000, 4000, {-1186.191, -1746.282, -15235.630}, 2000, 15},
                    RealBall{MADE("S2"), 1000, 4000, {899.843, -3262.662, -11151.471}, 2000, 15},
                    RealBall{MADE("S3"), 1000, 4000, {1581.272, -1419.278, -13215.081}, 2000, 15},
                    RealBall{MADE("S4"), 1000, 4000, {5347.316, -2791.031, -11929.895}, 2000, 15}));

LocateRequest any_ball() {
  LocateRequest request;
  request.unknown_balls = true;
  return request;
}

TEST(RealScans, TheKinectBallIsFoundWithoutItsSize) {
  RIGPROOF_SHARED_FILE(path, "scans/kinect_ball_out_of_tolerance/scene_cam2_f00.ply");
  const Sighting sighting = locate(Scan::open(path), any_ball());
  ASSERT_EQ(sighting.balls.size(), 1u);
  EXPECT_LT((sighting.balls[0].sphere.center - Vec3(210.788, 32.137, 1178.847)).norm(), 3);
  EXPECT_NEAR(sighting.balls[0].sphere.radius, 214.12, 3);
}

// CGAL's demo data: ten exact spheres of 134 to 2003 points (spheres_expected.csv).
TEST(RealScans, TenExactSpheresOfAnySize) {
  RIGPROOF_SHARED_FILE(path, "scans/points3/spheres.ply");
  const std::vector<std::pair<Vec3, double>> expected = {
      {{0.944969177, 0.938497398, -0.288771961}, 0.293821783},
      {{0.524737279, 0.879032004, -0.089804044}, 0.218760856},
      {{0.006987177, 0.385522443, -0.217007574}, 0.145025370},
      {{0.069786749, -0.792495529, -0.932672501}, 0.127506485},
      {{0.708719328, -0.108056987, -0.699763509}, 0.115972754},
      {{-0.882800560, -0.810551041, -0.069767621}, 0.152002695},
      {{0.350578595, -0.308131392, 0.553925964}, 0.081566077},
      {{0.971737328, -0.167013462, 0.041309272}, 0.079259751},
      {{-0.400531360, 0.175953285, -0.161222202}, 0.073412728},
      {{-0.742384559, 0.125033353, 0.951149953}, 0.078132474}};
  const Sighting sighting = locate(Scan::open(path), any_ball());
  ASSERT_EQ(sighting.balls.size(), expected.size());
  for (const auto& [center, radius] : expected) {
    const bool found = std::ranges::any_of(sighting.balls, [&](const BallSighting& b) {
      return (b.sphere.center - center).norm() < 1e-6 && std::abs(b.sphere.radius - radius) < 1e-6;
    });
    EXPECT_TRUE(found) << "radius " << radius;
  }
}

TEST(RealScans, LoneSpheresInOtherUnits) {
  for (const auto& [file, radius, tolerance] :
       {std::tuple{"scans/points3/sphere926.pwn", 10.0, 1e-4},
        std::tuple{"scans/points3/sphere_1k.xyz", 0.993784, 1e-3},
        std::tuple{"scans/points3/sphere_20k.xyz", 1.001404, 2e-3},
        std::tuple{"scans/points3/mesh_sphere.off", 0.5, 1e-4}}) {
    RIGPROOF_SHARED_FILE(path, file);
    const Sighting sighting = locate(Scan::open(path), any_ball());
    ASSERT_EQ(sighting.balls.size(), 1u) << file;
    EXPECT_NEAR(sighting.balls[0].sphere.radius, radius, tolerance) << file;
  }
}

TEST(RealScans, AScannedIcosahedronHasTwentyPlatesAndIsNoBall) {
  RIGPROOF_SHARED_FILE(path, "scans/points3/ball.ply");
  LocateRequest request = any_ball();
  request.unknown_plates = true;
  const Sighting sighting = locate(Scan::open(path), request);
  EXPECT_TRUE(sighting.balls.empty());
  ASSERT_EQ(sighting.plates.size(), 20u);
  for (const PlateSighting& p : sighting.plates)  // 1423–1805 points, rms 0.046–0.082
    EXPECT_LT(p.scatter_mm, 0.082);
  // ball_segments_expected.csv, segment 0: n·p = d.
  const Vec3 normal(0.048994427, -0.317669091, 0.946935000);
  EXPECT_TRUE(std::ranges::any_of(sighting.plates, [&](const PlateSighting& p) {
    return std::abs(p.plane.normal.dot(normal)) > std::cos(0.5 * M_PI / 180) &&
           std::abs(std::abs(normal.dot(p.plane.point)) - 26.703) < 0.3;
  }));
}

void expect_plane(const PlateSighting& plate, Vec3 normal, double d, double degrees, double mm) {
  if (normal.dot(plate.plane.normal) < 0) {
    normal = -normal;
    d = -d;
  }
  EXPECT_LT(std::acos(std::min(1.0, normal.dot(plate.plane.normal))) * 180 / M_PI, degrees);
  EXPECT_NEAR(normal.dot(plate.plane.point), -d, mm);
}

LocateRequest any_plate() {
  LocateRequest request;
  request.unknown_plates = true;
  return request;
}

// PCL test data, planes n·p + d = 0 in metres from expected.csv (PCL's own published answer for the
// first: coefficients over d of −0.8964, −0.5868, −1.208 within 0.1).
TEST(RealScans, ALaserScannedPlane) {
  RIGPROOF_SHARED_FILE(path, "scans/table_planes/sac_plane_test.pcd");
  ScanOptions options;
  options.unit_mm = 1000;
  const Sighting sighting = locate(Scan::open(path, options), any_plate());
  ASSERT_FALSE(sighting.plates.empty());
  const PlateSighting& plate = sighting.plates[0];
  EXPECT_GT(plate.support, 2000u);
  // Normal off by 0.9° over 1 m at 6 mm rms: nearby surfaces count among those 2,514 inliers.
  expect_plane(plate, {0.554052, 0.365071, 0.748164}, -618.245, 1.2, 10);
  const double d = -plate.plane.normal.dot(plate.plane.point) / 1000;
  EXPECT_NEAR(plate.plane.normal.x() / d, -0.8964, 0.1);
  EXPECT_NEAR(plate.plane.normal.y() / d, -0.5868, 0.1);
  EXPECT_NEAR(plate.plane.normal.z() / d, -1.208, 0.1);
}

TEST(RealScans, ATableAndTheFloorBehindIt) {
  RIGPROOF_SHARED_FILE(path, "scans/table_planes/table_scene_mug_stereo_textured.pcd");
  ScanOptions options;
  options.unit_mm = 1000;
  LocateRequest request = any_plate();
  request.unknown_balls = true;
  const Sighting sighting = locate(Scan::open(path, options), request);
  EXPECT_TRUE(sighting.balls.empty());  // a mug is none
  ASSERT_GE(sighting.plates.size(), 2u);
  EXPECT_NEAR(static_cast<double>(sighting.plates[0].support), 123728, 6000);
  EXPECT_NEAR(static_cast<double>(sighting.plates[1].support), 51105, 5000);
  expect_plane(sighting.plates[0], {-0.016186, 0.837701, 0.545889}, -528.743, 0.3, 1.5);
  expect_plane(sighting.plates[1], {-0.057605, -0.531098, 0.845350}, -1923.795, 0.5, 5);
}

TEST(RealScans, WithoutSpheresHaveNone) {
  for (const char* file :
       {"scans/points3/mesh_cube.off",
        "scans/points3/mesh_plane.off",
        "scans/table_planes/sac_plane_test.pcd",
        "scans/table_planes/sac_plane_test_plane0_inliers.ply",
        "scans/table_planes/table_scene_mug_stereo_textured_plane0_inliers.ply",
        "scans/table_planes/table_scene_mug_stereo_textured_plane1_inliers.ply"}) {
    RIGPROOF_SHARED_FILE(path, file);
    EXPECT_TRUE(locate(Scan::open(path), any_ball()).balls.empty()) << file;
  }
}

}  // namespace
}  // namespace rigproof
