// Scans of real sensors with independently computed answers (expected.csv beside each; origin and
// licence in its README): least squares by another solver, minimum zones by a linear programme and
// by an exact hull.
#include <cmath>

#include <Eigen/Geometry>
#include <gtest/gtest.h>

#include "fit/fit.h"
#include "reference_table.h"

namespace rigproof {
namespace {

// Printed digits of the reference: nine significant, six of a residual.
double printed(double value, int digits) {
  return 0.6 * std::pow(10, std::ceil(std::log10(std::abs(value))) - digits);
}

void expect_spheres(const std::filesystem::path& table, bool whole_only) {
  const reference::Table t = reference::read(table);
  for (std::size_t i = 0; i < t.rows.size(); ++i) {
    if (whole_only && t.text(i, "set") != "all points") continue;
    const std::string file = t.text(i, "file");
    const Points p = reference::read_ply(table.parent_path() / file);
    ASSERT_EQ(p.size(), static_cast<std::size_t>(t.number(i, "n")));
    const SphereFit fit = fit_sphere(p);
    ASSERT_TRUE(fit.ok()) << file;
    const Vec3 c(t.number(i, "cx"), t.number(i, "cy"), t.number(i, "cz"));
    for (int k = 0; k < 3; ++k)
      EXPECT_NEAR(fit.sphere.center[k], c[k], printed(c.norm(), 8)) << file;
    const double r = t.number(i, "r_LS");
    EXPECT_NEAR(fit.sphere.radius, r, printed(r, 8)) << file;
    const double rms = t.number(i, "rms"), high = t.number(i, "max_res"),
                 low = t.number(i, "min_res");
    EXPECT_NEAR(fit.residuals.rms, rms, printed(rms, 6)) << file;
    EXPECT_NEAR(fit.residuals.max, high, printed(high, 6)) << file;
    EXPECT_NEAR(fit.residuals.min, low, printed(low, 6)) << file;

    SphereFitOptions options;  // the sensor stands at the origin of these scans
    options.sensor = Vec3(0, 0, 0);
    EXPECT_EQ(fit_sphere(p, options).sphere.radius, fit.sphere.radius) << file;
  }
}

TEST(RealScans, KinectSpheres) {
  RIGPROOF_SHARED_FILE(table, "scans/kinect_spheres/expected.csv");
  expect_spheres(table, false);
}

TEST(RealScans, KinectBallOutOfTolerance) {
  RIGPROOF_SHARED_FILE(table, "scans/kinect_ball_out_of_tolerance/expected.csv");
  expect_spheres(table, false);
}

TEST(RealScans, LidarSpheres) {
  RIGPROOF_SHARED_FILE(table, "scans/lidar_sphere_rooms/expected.csv");
  expect_spheres(table, true);
}

TEST(RealScans, TablePlanes) {
  RIGPROOF_SHARED_FILE(table, "scans/table_planes/expected.csv");
  const reference::Table t = reference::read(table);
  for (std::size_t i = 0; i < t.rows.size(); ++i) {
    const auto& row =
        t.rows[i];  // the names nx, ny, nz, d stand twice; the subset's are columns 11–14
    const Points p = reference::read_ply(table.parent_path() / t.text(i, "subset_ply"));
    const auto number = [&](int k) { return std::strtod(row.at(k).c_str(), nullptr); };
    ASSERT_EQ(p.size(), static_cast<std::size_t>(number(10)));
    const PlaneFit fit = fit_plane(p);
    ASSERT_TRUE(fit.ok());
    const Vec3 normal(number(11), number(12), number(13));
    EXPECT_LT(fit.plane.normal.cross(normal).norm(), 1.5e-9);
    const double sign = fit.plane.normal.dot(normal) < 0 ? -1 : 1;
    EXPECT_NEAR(-sign * fit.plane.normal.dot(fit.plane.point), number(14), 2e-9);
    EXPECT_NEAR(fit.residuals.rms, number(15), 0.6e-9);
    EXPECT_NEAR(fit.residuals.range(), number(16), 0.6e-9);
    const PlaneZone zone = minimum_zone_plane(p);
    EXPECT_TRUE(zone.exact);
    EXPECT_NEAR(zone.width, number(17), 0.6e-9);
    // That hull was computed of points rounded to 1e-9 m; see cgal_width_test.cpp for the floats.
    EXPECT_NEAR(zone.width, number(18), 1e-9);
  }
}

TEST(RealScans, FacetsOfABall) {
  RIGPROOF_SHARED_FILE(table, "scans/points3/ball_segments_expected.csv");
  const reference::Table t = reference::read(table);
  const auto facets = reference::read_ascii_ply(table.parent_path() / "ball.ply");
  for (std::size_t i = 0; i < t.rows.size(); ++i) {
    const Points& p = facets.at(static_cast<int>(t.number(i, "segment_index")));
    ASSERT_EQ(p.size(), static_cast<std::size_t>(t.number(i, "n")));
    const PlaneFit fit = fit_plane(p);
    const Vec3 normal(t.number(i, "nx"), t.number(i, "ny"), t.number(i, "nz"));
    EXPECT_LT(fit.plane.normal.cross(normal).norm(), 1.5e-9) << i;
    EXPECT_NEAR(fit.residuals.rms, t.number(i, "rms"), 0.6e-9) << i;
    EXPECT_NEAR(fit.residuals.range(), t.number(i, "pv_LS"), 0.6e-9) << i;
    const PlaneZone zone = minimum_zone_plane(p);
    EXPECT_TRUE(zone.exact) << i;
    EXPECT_NEAR(zone.width, t.number(i, "MZ_hull"), 0.6e-9) << i;
  }
}

}  // namespace
}  // namespace rigproof
