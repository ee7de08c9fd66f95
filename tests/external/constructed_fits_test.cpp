// Sets whose answer is known by construction: residuals placed in the null space of the Jacobian's
// transpose (the method is Forbes and Minh's, Int. J. Metrol. Qual. Eng. 3 (2012); cited from
// memory), and points placed on the contacts that make a zone least.
#include <gtest/gtest.h>

#include "fit/fit.h"
#include "reference_table.h"

namespace rigproof {
namespace {

void expect_sphere(
    const Points& p, const Vec3& center, double radius, double rms, double low, double high) {
  const SphereFit fit = fit_sphere(p);
  ASSERT_TRUE(fit.ok());
  EXPECT_NEAR((fit.sphere.center - center).norm(), 0, 1e-9);
  EXPECT_NEAR(fit.sphere.radius, radius, 1e-9);
  EXPECT_NEAR(fit.residuals.rms, rms, 1e-11);
  EXPECT_NEAR(fit.residuals.min, low, 1e-9);
  EXPECT_NEAR(fit.residuals.max, high, 1e-9);
}

TEST(ConstructedSphere, TwentyFivePointsOfAHemisphere) {
  expect_sphere(reference::table("ns_sphere_25pts.csv").points(),
                {5, 5, 5},
                12.5,
                0.00299632323575719,
                -0.00700387134466042,
                0.00453818534005412);
}

TEST(ConstructedSphere, WholeSphereOf200) {
  RIGPROOF_SHARED_FILE(path, "refdata/ns_sphere_full_200.csv");
  expect_sphere(reference::read(path).points(),
                {0, 0, 0},
                25,
                0.0102839160195997,
                -0.0266775963544751,
                0.0386199599055627);
}

TEST(ConstructedSphere, HemisphereOf1000FarFromTheOrigin) {
  RIGPROOF_SHARED_FILE(path, "refdata/ns_sphere_hemi_1000.csv");
  expect_sphere(reference::read(path).points(),
                {123.456, -78.9, 456.789},
                12.7,
                0.0196799733602861,
                -0.056658679886267,
                0.0594321089874478);
}

TEST(ConstructedPlane, TwentyFivePoints) {
  const Points p = reference::table("ns_plane_25pts.csv").points();
  const PlaneFit fit = fit_plane(p);
  ASSERT_TRUE(fit.ok());
  EXPECT_NEAR(fit.plane.point.norm(), 0, 1e-9);
  EXPECT_NEAR((fit.plane.normal - Vec3::UnitZ()).norm(), 0, 1e-12);
  EXPECT_NEAR(fit.residuals.rms, 0.0022604511946185, 1e-12);
  EXPECT_NEAR(fit.residuals.range(), 0.00960881899359807, 1e-12);
  const PlaneZone zone = minimum_zone_plane(p);
  EXPECT_TRUE(zone.exact);
  EXPECT_NEAR(zone.width, 0.00867317153557, 2e-14);
}

TEST(ConstructedPlane, FourHundredTilted) {
  RIGPROOF_SHARED_FILE(path, "refdata/ns_plane_400.csv");
  const Points p = reference::read(path).points();
  const PlaneFit fit = fit_plane(p);
  const Vec3 normal(0.097590007294853315, -0.19518001458970663, 0.97590007294853309);
  EXPECT_NEAR((fit.plane.normal - normal).norm(), 0, 1e-12);
  EXPECT_NEAR(fit.residuals.rms, 0.0101192344764146, 1e-12);
  EXPECT_NEAR(fit.residuals.range(), 0.062115718992079, 1e-11);
  const PlaneZone zone = minimum_zone_plane(p);
  EXPECT_TRUE(zone.exact);
  EXPECT_NEAR(zone.width, 0.0602504283896, 1e-12);
}

// Two against two: edge–edge. Optimality condition of Kanada and Suzuki (1993); GB/T 11337.
TEST(ConstructedZone, TwoAgainstTwo) {
  const Points p = reference::table("mz_plane_22_w0.020.csv").points();
  const PlaneZone zone = minimum_zone_plane(p);
  EXPECT_TRUE(zone.exact);
  EXPECT_NEAR(zone.width, 0.02, 1e-13);
  EXPECT_NEAR((zone.plane.normal - Vec3::UnitZ()).norm(), 0, 1e-12);
  EXPECT_NEAR(fit_plane(p).residuals.range(), 0.0228550028851, 1e-12);
}

// Three against one: face–vertex.
TEST(ConstructedZone, ThreeAgainstOne) {
  RIGPROOF_SHARED_FILE(path, "refdata/mz_plane_31_w0.035.csv");
  const Points p = reference::read(path).points();
  const PlaneZone zone = minimum_zone_plane(p);
  const Vec3 normal(0.19518001458970663, -0.097590007294853315, 0.97590007294853309);
  EXPECT_TRUE(zone.exact);
  EXPECT_NEAR(zone.width, 0.035, 1e-12);
  EXPECT_NEAR((zone.plane.normal - normal).norm(), 0, 1e-11);
  EXPECT_NEAR(fit_plane(p).residuals.range(), 0.0360101972769, 1e-11);
}

TEST(ConstructedZone, SphereOfTwoAgainstThree) {
  RIGPROOF_SHARED_FILE(path, "refdata/mz_sphere_23_full_z0.030.csv");
  const Points p = reference::read(path).points();
  const SphereFit fit = fit_sphere(p);
  EXPECT_NEAR(
      (fit.sphere.center - Vec3(9.99867740188, 20.0008703034, 29.9991723014)).norm(), 0, 1e-9);
  EXPECT_NEAR(fit.sphere.radius, 24.9988231965, 1e-9);
  // Recomputed in 50-digit decimal arithmetic; the set's header prints 0.0315717252971.
  EXPECT_NEAR(fit.residuals.range(), 0.031571725259735, 1e-13);
  const SphereZone zone = minimum_zone_sphere(p, fit.sphere);
  EXPECT_TRUE(zone.exact);
  EXPECT_NEAR(zone.width(), 0.03, 2e-12);
  EXPECT_NEAR((zone.center - Vec3(10, 20, 30)).norm(), 0, 1e-9);
  EXPECT_NEAR(zone.inner, 24.985, 1e-9);
  EXPECT_NEAR(zone.outer, 25.015, 1e-9);
}

// ISO 12781-1 parameters about the least-squares plane of a 4 × 4 grid.
TEST(ConstructedFlatness, FourByFour) {
  const Points p = reference::table("flatness_4x4.csv").points();
  const FlatnessParameters flt = flatness_parameters(fit_plane(p).residuals);
  // Recomputed in 50-digit decimal arithmetic; the table's header prints FLTt as 0.0110500001.
  EXPECT_NEAR(flt.t, 0.011050000000078525, 1e-15);
  EXPECT_NEAR(flt.p, 0.005475000000640988, 1e-15);
  EXPECT_NEAR(flt.v, 0.005574999999437538, 1e-15);
  EXPECT_NEAR(flt.q, 0.003065432269660813, 1e-15);
  EXPECT_NEAR(minimum_zone_plane(p).width, 0.01, 5e-10);
}

// Tilted: a fit of vertical instead of orthogonal distances misses these.
TEST(ConstructedFlatness, FourByFourTilted) {
  Points p = reference::table("flatness_4x4.csv").points();
  for (std::size_t i = 0; i < p.size(); ++i) p.z[i] += 0.002 * p.x[i] - 0.001 * p.y[i] + 300;
  const FlatnessParameters flt = flatness_parameters(fit_plane(p).residuals);
  EXPECT_NEAR(flt.t, 0.0110499727, 5e-11);
  EXPECT_NEAR(flt.q, 0.0030654246, 5e-11);
  EXPECT_NEAR(minimum_zone_plane(p).width, 0.0099999752, 5e-11);
}

// 3 × 3 saddle z = 0.01·xy/10⁴ on ±100: both least squares and minimum zone are 0.02, edge–edge.
TEST(ConstructedFlatness, Saddle) {
  Points p;
  for (double x : {-100, 0, 100})
    for (double y : {-100, 0, 100}) p.push_local(x, y, 0.01 * x * y / 1e4);
  EXPECT_NEAR(fit_plane(p).residuals.range(), 0.02, 1e-15);
  const PlaneZone zone = minimum_zone_plane(p);
  EXPECT_TRUE(zone.exact);
  EXPECT_NEAR(zone.width, 0.02, 1e-15);
}

TEST(ConstructedFlatness, OneCornerUp) {
  Points p;
  for (double x : {-100, 0, 100})
    for (double y : {-100, 0, 100}) p.push_local(x, y, x == 100 && y == 100 ? 0.09 : 0);
  const FlatnessParameters flt = flatness_parameters(fit_plane(p).residuals);
  EXPECT_NEAR(flt.t, 0.074999997, 5e-10);
  EXPECT_NEAR(flt.p, 0.049999997, 5e-10);
  EXPECT_NEAR(flt.v, 0.025000001, 5e-10);
  EXPECT_NEAR(flt.q, 0.022360679, 1e-9);
  EXPECT_NEAR(minimum_zone_plane(p).width, 0.0674999966, 5e-11);
}

}  // namespace
}  // namespace rigproof
