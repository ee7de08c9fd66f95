// W. Gander, G.H. Golub, R. Strebel, "Least-squares fitting of circles and ellipses", BIT 34 (1994)
// 558–578, section 3: geometric fit of six points, centre 4.7398, 2.9835, radius 4.7142. A circle
// is not a special sphere (in the plane of the points the sphere's sum of squares has a maximum
// across the plane), so the check is of the normal equations alone, with the centre held in the
// plane: there every row of z is zero, and the rest is the circle's own system.
#include <Eigen/LU>
#include <gtest/gtest.h>

#include "fit/sphere_step.h"
#include "reference_table.h"

namespace rigproof {
namespace {

TEST(GanderGolubStrebel1994, GeometricCircle) {
  const Points p = reference::table("gander_golub_strebel_1994_circle.csv").points("x", "y", "");
  Vec3 c(5, 4, 0);
  double r = 4;
  for (int k = 0; k < 200; ++k) {
    const SphereSums s = sphere_sums(p, c, r);
    EXPECT_EQ(s.n.z(), 0);
    Mat3 normal;
    normal << s.nn(0, 0), s.nn(0, 1), s.n.x(),  //
        s.nn(0, 1), s.nn(1, 1), s.n.y(),        //
        s.n.x(), s.n.y(), s.weight;
    const Vec3 step = normal.inverse() * Vec3(s.dn.x(), s.dn.y(), s.d);
    c += Vec3(step.x(), step.y(), 0);
    r += step.z();
  }
  // Published to four decimals, recomputed to six.
  EXPECT_NEAR(c.x(), 4.739782, 5e-7);
  EXPECT_NEAR(c.y(), 2.983533, 5e-7);
  EXPECT_NEAR(r, 4.714226, 5e-7);
}

}  // namespace
}  // namespace rigproof
