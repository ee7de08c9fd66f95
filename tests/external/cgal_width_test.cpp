// CGAL's Width_3 (exact arithmetic; GPL, in this executable only) against minimum_zone_plane.
#include <CGAL/Homogeneous.h>
#include <CGAL/MP_Float.h>
#include <CGAL/Width_3.h>
#include <CGAL/Width_default_traits_3.h>
#include <gtest/gtest.h>

#include "../fit/samples.h"
#include "fit/fit.h"
#include "reference_table.h"

namespace rigproof {
namespace {

using Kernel = CGAL::Homogeneous<CGAL::MP_Float>;
using Width = CGAL::Width_3<CGAL::Width_default_traits_3<Kernel>>;

double by_cgal(const Points& p) {
  std::vector<Kernel::Point_3> points;
  for (std::size_t i = 0; i < p.size(); ++i)
    points.emplace_back(
        CGAL::MP_Float(p.x[i]), CGAL::MP_Float(p.y[i]), CGAL::MP_Float(p.z[i]), CGAL::MP_Float(1));
  Width width(points.begin(), points.end());
  Kernel::RT numerator, denominator;
  width.get_squared_width(numerator, denominator);
  return std::sqrt(CGAL::to_double(CGAL::Quotient<Kernel::RT>(numerator, denominator)));
}

void expect_same(const Points& p) {
  const PlaneZone zone = minimum_zone_plane(p);
  EXPECT_TRUE(zone.exact);
  EXPECT_NEAR(zone.width, by_cgal(p), 1e-12 * (1 + zone.plane.point.norm()));
}

TEST(CgalWidth, Plates) {
  samples::Random g(1);
  for (int k = 0; k < 6; ++k)
    expect_same(samples::plate(g, 60, {{0, 0, 600}, samples::direction(g)}, 300, 200, 0.02));
}

TEST(CgalWidth, Bodies) {
  samples::Random g(2);
  for (int k = 0; k < 6; ++k) {
    Points p;
    for (int i = 0; i < 40; ++i) p.push(samples::normal3(g).cwiseProduct(Vec3(1, 1, 0.3)));
    expect_same(p);
  }
}

TEST(CgalWidth, Moody1955) {
  const reference::Table t = reference::table("moody_1955_surface_plate.csv");
  Points p;
  for (std::size_t i = 0; i < t.rows.size(); ++i)
    p.push_local(t.number(i, "x_in"), t.number(i, "y_in"), t.number(i, "arcsec") * 4 * 5e-6);
  expect_same(p);
}

TEST(CgalWidth, ConstructedGrid) {
  expect_same(reference::table("flatness_4x4.csv").points());
  expect_same(reference::table("mz_plane_22_w0.020.csv").points());
}

// Real planes of 2514 and 5111 points, in exact arithmetic on the very floats of the files.
TEST(CgalWidth, RealPlanes) {
  for (const char* name : {"sac_plane_test_plane0_inliers.ply",
                           "table_scene_mug_stereo_textured_plane1_inliers.ply"}) {
    const std::string file = std::string("scans/table_planes/") + name;
    RIGPROOF_SHARED_FILE(path, file);
    expect_same(reference::read_ply(path));
  }
}

}  // namespace
}  // namespace rigproof
