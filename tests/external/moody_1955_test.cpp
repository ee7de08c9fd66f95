// J.C. Moody, "How to calibrate surface plates in the plant", The Tool Engineer, October 1955,
// pp. 85–91: a 48 × 72 in granite plate. Figure 6: "All points lie between two parallel planes
// 0.00018 inch apart", about Moody's own base plane.
#include <algorithm>

#include <gtest/gtest.h>

#include "fit/fit.h"
#include "reference_table.h"

namespace rigproof {
namespace {

TEST(Moody1955, SurfacePlate) {
  const reference::Table t = reference::table("moody_1955_surface_plate.csv");
  ASSERT_EQ(t.rows.size(), 126u);
  Points p;
  for (std::size_t i = 0; i < t.rows.size(); ++i)
    p.push_local(t.number(i, "x_in"), t.number(i, "y_in"), t.number(i, "arcsec") * 4 * 5e-6);
  const auto about_base = plane_residuals(p, Plane{{0, 0, 0}, Vec3::UnitZ()});
  const double base = residual_stats(about_base).range();
  EXPECT_NEAR(base, 0.00018, 0.000005);  // printed to two digits

  const PlaneFit fit = fit_plane(p);
  const PlaneZone zone = minimum_zone_plane(p);
  EXPECT_TRUE(zone.exact);
  EXPECT_LE(zone.width, base);
  EXPECT_LE(zone.width, fit.residuals.range());
  EXPECT_GT(zone.width, 0.9 * base) << "the base plane is nearly the best one for this bowl";
}

}  // namespace
}  // namespace rigproof
