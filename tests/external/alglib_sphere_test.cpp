// ALGLIB's fitspherels and fitspheremz (GPL, in this executable only) against least squares and the
// minimum-zone sphere. fitspheremz is an iterative solver and may stop in a wider zone: the check
// is that ours is never wider, and equal to a small share of the width where both found the same
// one.
#include <gtest/gtest.h>
#include <interpolation.h>

#include "../fit/samples.h"
#include "fit/fit.h"
#include "reference_table.h"

namespace rigproof {
namespace {

alglib::real_2d_array array(const Points& p) {
  alglib::real_2d_array a;
  a.setlength(static_cast<int>(p.size()), 3);
  for (std::size_t i = 0; i < p.size(); ++i) {
    a[static_cast<int>(i)][0] = p.x[i];
    a[static_cast<int>(i)][1] = p.y[i];
    a[static_cast<int>(i)][2] = p.z[i];
  }
  return a;
}

// Returns whether both found the same zone.
bool expect_same(const Points& p) {
  const auto xyz = array(p);
  const int n = static_cast<int>(p.size());
  alglib::real_1d_array c;
  double r = 0, low = 0, high = 0;
  alglib::fitspherels(xyz, n, 3, c, r);
  const SphereFit fit = fit_sphere(p);
  EXPECT_TRUE(fit.ok());
  const Vec3 center = fit.sphere.center - p.origin;
  for (int k = 0; k < 3; ++k) EXPECT_NEAR(center[k], c[k], 2e-6 * r);
  EXPECT_NEAR(fit.sphere.radius, r, 2e-6 * r);

  alglib::fitspheremz(xyz, n, 3, c, low, high);
  const SphereZone zone = minimum_zone_sphere(p, fit.sphere);
  EXPECT_TRUE(zone.exact);
  EXPECT_LE(zone.width(), (high - low) * (1 + 1e-9));
  return (high - low) - zone.width() <= 1e-5 * zone.width();
}

TEST(AlglibSphere, WholeSpheresAndCaps) {
  samples::Random g(1);
  int same = 0;
  const int sets = 12;
  for (int k = 0; k < sets; ++k) {
    const Sphere ball{{10, 20, 600}, 15};
    const double half = k % 2 ? 180 : 80;
    const std::size_t n = 40 + g() % 80;
    same += expect_same(samples::cap(g, n, ball, -Vec3::UnitZ(), half, 0.02));
  }
  EXPECT_GE(same, sets - 1);
}

TEST(AlglibSphere, Constructed) {
  RIGPROOF_SHARED_FILE(path, "refdata/mz_sphere_23_full_z0.030.csv");
  EXPECT_TRUE(expect_same(reference::read(path).points()));
}

}  // namespace
}  // namespace rigproof
