// The program on scans from real sensors and on published data sets; each folder's README names the
// origin, and expected.csv beside the scans holds independently computed answers.
#include <cmath>

#include <gtest/gtest.h>

#include "app/program.h"
#include "shared_data.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

nlohmann::json whole(const fs::path& file, const std::string& kind, const std::string& units) {
  const ProgramRun run = run_program({"look", file, "--whole", kind, "--units", units, "--json"});
  EXPECT_EQ(run.code, 0) << file << run.err;
  return run.code == 0 ? run.json()["features"][0] : nlohmann::json{};
}

/// Columns: file, n, cx, cy, cz, r, rms, …; 1e-6 relative, the answers' printed digits.
void expect_spheres(const fs::path& folder,
                    const std::string& prefix,
                    const std::string& units,
                    double unit) {
  int checked = 0;
  for (const auto& row : read_rows(folder / "expected.csv")) {
    if (!row[0].starts_with(prefix)) continue;
    const auto f = whole(folder / row[0], "ball", units);
    ASSERT_TRUE(f.is_object());
    EXPECT_EQ(f["points"], std::stoi(row[1])) << row[0];
    const double r = std::stod(row[5]) * unit;
    for (int i = 0; i < 3; ++i)
      EXPECT_NEAR(f["center"][i].get<double>(), std::stod(row[2 + i]) * unit, 1e-6 * 10 * r)
          << row[0];
    EXPECT_NEAR(f["radius"].get<double>(), r, 1e-6 * r) << row[0];
    EXPECT_NEAR(f["rms"].get<double>(), std::stod(row[6]) * unit, 1e-5 * std::stod(row[6]) * unit)
        << row[0];
    EXPECT_NEAR(f["form"].get<double>(), (std::stod(row[7]) - std::stod(row[8])) * unit, 2e-6 * r)
        << row[0];
    ++checked;
  }
  EXPECT_GT(checked, 0);
}

TEST(LookWhole, DepthCameraBalls) {
  RIGPROOF_SHARED_FILE(folder, "scans/kinect_spheres");
  expect_spheres(folder, "ball_", "mm", 1);
}

TEST(LookWhole, OutOfToleranceBall) {
  RIGPROOF_SHARED_FILE(folder, "scans/kinect_ball_out_of_tolerance");
  expect_spheres(folder, "ball_", "mm", 1);
}

TEST(LookWhole, LidarBallsInMetres) {
  RIGPROOF_SHARED_FILE(folder, "scans/lidar_sphere_rooms");
  expect_spheres(folder, "synthetic_", "m", 1000);
}

TEST(LookWhole, TablePlanes) {
  RIGPROOF_SHARED_FILE(folder, "scans/table_planes");
  for (const auto& row : read_rows(folder / "expected.csv")) {
    const auto f = whole(folder / row[9], "plate", "m");
    ASSERT_TRUE(f.is_object());
    EXPECT_EQ(f["points"], std::stoi(row[10]));
    EXPECT_NEAR(f["rms"].get<double>(), 1000 * std::stod(row[15]), 1e-6 * 1000);
    EXPECT_NEAR(f["flatness"].get<double>(), 1000 * std::stod(row[16]), 1e-5);
    EXPECT_NEAR(f["flatness_mz"].get<double>(), 1000 * std::stod(row[18]), 1e-6);
  }
}

/// A constructed or published set with its answers, as the set's own header states them.
struct KnownSet {
  const char* file;
  const char* kind;
  const char* quantity;
  double answer, tolerance;
};

TEST(LookWhole, ReferenceSetsThroughTheProgram) {
  RIGPROOF_SHARED_FILE(folder, "refdata");
  const std::vector<KnownSet> sets{
      {"ns_sphere_25pts.csv", "ball", "radius", 12.5, 1e-9},
      {"ns_sphere_25pts.csv", "ball", "form", 0.0115420566847145, 1e-9},
      {"ns_sphere_full_200.csv", "ball", "radius", 25, 1e-9},
      {"ns_sphere_full_200.csv", "ball", "form", 0.0652975562600378, 1e-9},
      {"ns_sphere_hemi_1000.csv", "ball", "radius", 12.7, 1e-9},
      {"ns_sphere_hemi_1000.csv", "ball", "form", 0.116090788873715, 1e-9},
      {"mz_sphere_23_full_z0.030.csv", "ball", "form_mz", 0.030000000000001137, 1e-9},
      {"ns_plane_25pts.csv", "plate", "flatness", 0.00960881899359807, 1e-9},
      {"ns_plane_25pts.csv", "plate", "flatness_mz", 0.00867317153557, 1e-9},
      {"ns_plane_400.csv", "plate", "flatness", 0.062115718992079, 1e-9},
      {"ns_plane_400.csv", "plate", "flatness_mz", 0.0602504283896, 1e-9},
      {"mz_plane_22_w0.020.csv", "plate", "flatness_mz", 0.02, 1e-9},
      {"mz_plane_22_w0.020.csv", "plate", "flatness", 0.0228550028851, 1e-9},
      {"mz_plane_31_w0.035.csv", "plate", "flatness_mz", 0.035, 1e-9},
      {"mz_plane_31_w0.035.csv", "plate", "flatness", 0.0360101972769, 1e-9},
      {"flatness_4x4.csv", "plate", "flatness_mz", 0.01, 1e-9},
      // The header prints 0.0110500001; exact arithmetic gives 0.011050000079.
      {"flatness_4x4.csv", "plate", "flatness", 0.0110500001, 1e-10}};
  for (const auto& set : sets)
    EXPECT_NEAR(whole(folder / set.file, set.kind, "mm")[set.quantity].get<double>(),
                set.answer,
                set.tolerance)
        << set.file << " " << set.quantity;
}

// CGAL's demo data (the folder's README): meshes and clouds of known spheres in several formats.
TEST(LookWhole, SpheresInEveryFormat) {
  RIGPROOF_SHARED_FILE(folder, "scans/points3");
  for (const char* file : {"mesh_sphere.ply", "mesh_sphere.stl", "mesh_sphere.off"})
    EXPECT_NEAR(whole(folder / file, "ball", "mm")["radius"].get<double>(), 0.5, 1e-5) << file;
  EXPECT_NEAR(whole(folder / "sphere926.pwn", "ball", "mm")["radius"].get<double>(), 10, 1e-4);
  const auto small = whole(folder / "sphere_1k.xyz", "ball", "mm");
  EXPECT_NEAR(small["radius"].get<double>(), 0.993784, 1e-6);
  EXPECT_NEAR(small["rms"].get<double>(), 3.7e-3, 5e-5);
  EXPECT_NEAR(
      whole(folder / "sphere_20k.xyz", "ball", "mm")["radius"].get<double>(), 1.001404, 1e-6);
}

TEST(Look, TheBallInAFullDepthFrame) {
  RIGPROOF_SHARED_FILE(scene, "scans/kinect_ball_out_of_tolerance/scene_cam2_f00.ply");
  const ProgramRun run = run_program({"look", scene, "--ball", "406", "--json"});
  ASSERT_EQ(run.code, 0) << run.err;
  const auto f = run.json()["features"][0];
  // The noise of this camera at 1.2 m is 2 mm; its ball measures 214 mm in radius, not 203.
  EXPECT_NEAR(f["center"][0].get<double>(), 210.79, 3);
  EXPECT_NEAR(f["center"][1].get<double>(), 32.14, 3);
  EXPECT_NEAR(f["center"][2].get<double>(), 1178.85, 5);
  EXPECT_NEAR(f["radius"].get<double>(), 214.1, 4);
}

TEST(Look, TheDemoBar) {
  const ProgramRun run = run_program({"look",
                                      std::string(RIGPROOF_SOURCE_DIR) + "/demo_scans/bar-250.ply",
                                      "--bar",
                                      "250",
                                      "--ball",
                                      "30",
                                      "--json"});
  ASSERT_EQ(run.code, 0) << run.err;
  const auto features = run.json()["features"];
  ASSERT_EQ(features.size(), 2u);
  double d2 = 0;
  for (int i = 0; i < 3; ++i) {
    const double d =
        features[0]["center"][i].get<double>() - features[1]["center"][i].get<double>();
    d2 += d * d;
  }
  // Made 250.0123 mm apart; 9,000 points a ball with 6 µm: u(distance) is below 1 µm.
  EXPECT_NEAR(std::sqrt(d2), 250.0123, 0.003);
}

}  // namespace
}  // namespace rigproof
