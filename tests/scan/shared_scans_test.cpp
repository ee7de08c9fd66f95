// Real scans with independently computed answers; the sources stand in the README beside each.
#include <cmath>
#include <fstream>
#include <sstream>

#include <gtest/gtest.h>

#include "scan/scan.h"
#include "shared_data.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

using Row = std::vector<std::string>;

std::vector<Row> rows_of(const fs::path& csv) {
  std::ifstream in(csv);
  std::vector<Row> rows;
  for (std::string line; std::getline(in, line);) {
    Row row;
    std::istringstream cells(line);
    for (std::string cell; std::getline(cells, cell, ',');) row.push_back(cell);
    rows.push_back(row);
  }
  rows.erase(rows.begin());
  return rows;
}

/// expected.csv: every file's number of points, and where the fitted sphere holds all points, the
/// rms distance from it (divisor n) as an independent program computed it.
TEST(SharedScans, CountsAndSpheresOfTheKinectBalls) {
  for (const char* folder : {"kinect_spheres", "kinect_ball_out_of_tolerance"}) {
    RIGPROOF_SHARED_FILE(table, fs::path("scans") / folder / "expected.csv");
    for (const Row& row : rows_of(table)) {
      const Scan scan = Scan::open(table.parent_path() / row[0]);
      EXPECT_EQ(scan.facts().points, std::stoull(row[1])) << row[0];
      EXPECT_EQ(scan.facts().scalar, ScalarType::float32);
      const Points p = scan.all();
      const Vec3 center(std::stod(row[2]), std::stod(row[3]), std::stod(row[4]));
      double sum = 0;
      for (std::size_t i = 0; i < p.size(); ++i)
        sum += std::pow((p.at(i) - center).norm() - std::stod(row[5]), 2);
      EXPECT_NEAR(std::sqrt(sum / static_cast<double>(p.size())),
                  std::stod(row[6]),
                  1e-4 * std::stod(row[6]))
          << row[0];
    }
  }
}

TEST(SharedScans, LidarRoomsHaveTheExpectedCounts) {
  RIGPROOF_SHARED_FILE(table, "scans/lidar_sphere_rooms/expected.csv");
  for (const Row& row : rows_of(table))
    EXPECT_EQ(Scan::open(table.parent_path() / row[0]).facts().points, std::stoull(row[1]))
        << row[0];
}

TEST(SharedScans, OrganisedCompressedPcdDropsItsInvalidPixels) {
  RIGPROOF_SHARED_FILE(mug, "scans/table_planes/table_scene_mug_stereo_textured.pcd");
  const Scan scan = Scan::open(mug);
  EXPECT_EQ(scan.facts().format, "PCD binary compressed");
  EXPECT_EQ(scan.facts().points, 209280u);
  EXPECT_EQ(scan.facts().dropped, 307200u - 209280u);
  EXPECT_EQ(scan.facts().columns, 640u);
  EXPECT_EQ(scan.facts().rows, 480u);
  EXPECT_EQ(scan.all().size(), 209280u);
  // expected.csv, plane 0: n·p + d with an rms of 1.0 mm over 123,728 points (metres).
  const Vec3 n(-0.016186, 0.837701, 0.545889);
  std::size_t near = 0;
  const Points p = scan.all();
  for (std::size_t i = 0; i < p.size(); ++i) near += std::abs(n.dot(p.at(i)) - 0.528743) < 0.004;
  EXPECT_GT(near, 115000u);
}

TEST(SharedScans, AsciiPcd) {
  RIGPROOF_SHARED_FILE(file, "scans/table_planes/sac_plane_test.pcd");
  const Scan scan = Scan::open(file);
  EXPECT_EQ(scan.facts().points, 3283u);
  EXPECT_EQ(scan.facts().format, "PCD ASCII");
  EXPECT_LT((scan.all().at(0) - Vec3(1.068, 0.094720997, -0.016231)).norm(), 1e-15);
}

TEST(SharedScans, OneMeshInThreeFormats) {
  RIGPROOF_SHARED_FILE(ply, "scans/points3/mesh_sphere.ply");
  const Points expected = Scan::open(ply).all();
  for (const char* ending : {".ply", ".stl", ".off"}) {
    fs::path path = ply;
    const Scan scan = Scan::open(path.replace_extension(ending));
    EXPECT_EQ(scan.facts().points, 162u) << ending;
    EXPECT_EQ(scan.facts().faces, 320u) << ending;
    EXPECT_EQ(scan.facts().merged, ending == std::string(".stl") ? 3 * 320u - 162u : 0u);
    const Points p = scan.all();  // in STL in the order of the corners, as floats
    for (std::size_t i = 0; i < p.size(); ++i) {
      double nearest = 1;
      for (std::size_t k = 0; k < expected.size(); ++k)
        nearest = std::min(nearest, (expected.at(k) - p.at(i)).norm());
      EXPECT_LT(nearest, 2e-6) << ending << ' ' << i;
    }
  }
}

TEST(SharedScans, TextAndOtherFiles) {
  RIGPROOF_SHARED_FILE(ball, "scans/points3/ball.ply");
  const fs::path folder = ball.parent_path();
  const std::pair<const char*, std::uint64_t> files[] = {{"ball.ply", 31374},
                                                         {"spheres.ply", 5969},
                                                         {"mesh_cube.off", 8},
                                                         {"mesh_plane.off", 841},
                                                         {"sphere926.pwn", 926},
                                                         {"sphere_1k.xyz", 1050},
                                                         {"sphere_20k.xyz", 21000}};
  for (const auto& [name, points] : files) {
    const Scan scan = Scan::open(folder / name);
    EXPECT_EQ(scan.facts().points, points) << name;
    EXPECT_EQ(scan.facts().dropped, 0u) << name;
  }
}

TEST(SharedScans, ReferenceTablesByTheirColumnNames) {
  RIGPROOF_SHARED_FILE(solids, "refdata/platonic_width.csv");
  const Scan scan = Scan::open(solids);
  EXPECT_LT((scan.all().at(1) - Vec3(0.707106781186547, 0.707106781186547, 0)).norm(), 1e-15);
  const Scan targets = Scan::open(solids.parent_path() / "dvw_merkblatt_7_2014_ex1_targets.csv");
  EXPECT_LT((targets.all().at(0) - Vec3(0.9628, 4.9011, -0.0992)).norm(), 1e-15);
  EXPECT_THROW(Scan::open(solids.parent_path() / "gander_golub_strebel_1994_circle.csv"), Error);
}

}  // namespace
}  // namespace rigproof
