#include <gtest/gtest.h>

#include "fit/fit.h"
namespace rigproof {
namespace {
TEST(SphereFit, Exact) {
  Points p;
  for (const Vec3& v :
       {Vec3(1, 0, 0), Vec3(-1, 0, 0), Vec3(0, 1, 0), Vec3(0, -1, 0), Vec3(0, 0, 1)})
    p.push(v * 5 + Vec3(1, 2, 300));
  const SphereFit f = fit_sphere(p);
  EXPECT_TRUE(f.ok()) << to_string(f.stop);
  EXPECT_NEAR((f.sphere.center - Vec3(1, 2, 300)).norm(), 0, 1e-12);
}
}  // namespace
}  // namespace rigproof
