// Flatness parameters of ISO 12781-1:2011 (FLTt, FLTp, FLTv, FLTq about the least-squares plane)
// and the exact minimum zone, on vectors with closed-form answers. Through whole_plate, the road of
// `look --whole plate`, so that fit, parameters and zone are those that values come from. mm
#include <gtest/gtest.h>

#include "evaluate/feature.h"
#include "reference_table.h"

namespace rigproof {
namespace {

PlateFeature plate(const Points& points) {
  ZoneContext context;
  context.minimum_zones = true;
  return whole_plate(points, context);
}

Points grid3(const std::function<double(double, double)>& z) {
  Points p;
  for (const double x : {-100.0, 0.0, 100.0})
    for (const double y : {-100.0, 0.0, 100.0}) p.push_local(x, y, z(x, y));
  return p;
}

// z = 0.01 xy/10⁴: symmetric, so that the least-squares plane is z = 0 and the range 0.02; the
// minimum zone is held by two diagonals, edge against edge, at the same width.
TEST(FlatnessVectors, SaddleOfNinePoints) {
  const PlateFeature f = plate(grid3([](double x, double y) { return 0.01 * x * y / 1e4; }));
  EXPECT_NEAR(f.flatness, 0.02, 1e-12);
  EXPECT_NEAR(*f.flatness_mz(), 0.02, 1e-12);
}

// One corner of nine raised by 0.09. Regression by hand: mean 0.01, slope 0.09·100/(6·100²) =
// 0.00015 a mm both ways; residuals 0.05 at the corner, −0.025 at its neighbours: FLTp 0.05,
// FLTv 0.025, FLTt 0.075, FLTq √(Σ/9) = 0.0223607; distances are orthogonal, hence shorter by the
// cosine of a slope of 2.1e-4 (2.25e-8). Minimum zone 0.0675: three against one.
TEST(FlatnessVectors, OneCornerOfNineRaised) {
  const PlateFeature f =
      plate(grid3([](double x, double y) { return x > 50 && y > 50 ? 0.09 : 0.0; }));
  const FlatnessParameters about = flatness_parameters(f.fit.residuals);
  EXPECT_NEAR(about.t, 0.074999997, 5e-9);
  EXPECT_NEAR(about.p, 0.049999997, 5e-9);
  EXPECT_NEAR(about.v, 0.025000001, 5e-9);
  EXPECT_NEAR(about.q, 0.022360679, 5e-9);
  EXPECT_NEAR(*f.flatness_mz(), 0.0674999966, 5e-10);
}

// A grid of sixteen whose answers stand in the head of its table (computed by an independent
// program; the minimum zone checked there over all pairs of faces and edges).
TEST(FlatnessVectors, GridOfSixteen) {
  const Points p = reference::table("flatness_4x4.csv").points();
  const PlateFeature f = plate(p);
  const FlatnessParameters about = flatness_parameters(f.fit.residuals);
  EXPECT_NEAR(about.t, 0.0110500001, 5e-10);
  EXPECT_NEAR(about.p, 0.005475, 5e-8);
  EXPECT_NEAR(about.v, 0.005575, 5e-8);
  EXPECT_NEAR(about.q, 0.00306543227, 5e-11);
  EXPECT_NEAR(*f.flatness_mz(), 0.01, 5e-10);

  // Tilted by 0.002x − 0.001y + 300: distances along z would be longer than orthogonal ones.
  Points tilted;
  for (std::size_t i = 0; i < p.size(); ++i) {
    const Vec3 q = p.at(i);
    tilted.push_local(q.x(), q.y(), q.z() + 0.002 * q.x() - 0.001 * q.y() + 300);
  }
  const PlateFeature t = plate(tilted);
  EXPECT_NEAR(t.flatness, 0.0110499727, 5e-10);
  EXPECT_NEAR(flatness_parameters(t.fit.residuals).q, 0.0030654246, 5e-10);
  EXPECT_NEAR(*t.flatness_mz(), 0.0099999752, 5e-10);
}

}  // namespace
}  // namespace rigproof
