#include <gtest/gtest.h>

#include "evaluate/made_points.h"
#include "evaluate/working_area.h"

namespace rigproof {
namespace {

// Pitches are such that no line of the grid falls on an edge of the zone, where rounding would
// decide.
const Vec3 kCenter(10, -20, 600);
const Vec3 kU = Vec3(1, 0.1, 0.3).normalized();
const Vec3 kV = (Vec3(-0.05, 1, 0.1) - Vec3(-0.05, 1, 0.1).dot(kU) * kU).normalized();

PlateSighting seen(double length = 300, double width = 200) {
  return made::plate_sighting(kCenter, kU, kV, length, width);
}

ZoneContext nominal(double length, double width, double border = -1) {
  ZoneContext c;
  c.plates = {{length, width, border}};
  return c;
}

TEST(PlateZone, IsTheNominalRectangleLessItsBorder) {
  Random random(1, 0);
  const Points points = made::plate(
      kCenter, kU, kV, 300, 200, 1.07, [&](double, double) { return 0.01 * random.normal(); });
  const PlateFeature f = made::plate_feature(points, seen(), nominal(300, 200));
  ASSERT_TRUE(f.fit.ok());
  EXPECT_TRUE(f.settled);
  // Extents are quantiles at one point in a thousand: up to a millimetre less than the plate.
  EXPECT_NEAR(f.length_mm, 294, 1.01);
  EXPECT_NEAR(f.width_mm, 194, 1.01);
  EXPECT_NEAR(f.area_mm2, f.length_mm * f.width_mm, 1e-9);
  EXPECT_NEAR((f.center - kCenter).norm(), 0, 0.2);
  // Both axes to a milliradian: an edge is seen to a pitch over the side.
  EXPECT_LT((f.axis_u - kU).norm(), 1e-3);
  EXPECT_LT((f.axis_v - kV).norm(), 1e-3);
  EXPECT_NEAR(f.spacing_mm, 1.07, 0.02);
  std::size_t inside = 0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const Vec3 d = points.at(i) - f.center;
    inside += std::abs(d.dot(kU)) <= f.length_mm / 2 && std::abs(d.dot(kV)) <= f.width_mm / 2;
  }
  EXPECT_EQ(f.points, inside);
  EXPECT_GT(f.fit.plane.normal.dot(-kCenter), 0);  // towards the sensor
  const PlateFeature wide_border = made::plate_feature(points, seen(), nominal(300, 200, 20));
  EXPECT_NEAR(wide_border.length_mm, f.length_mm - 34, 1e-9);
}

TEST(PlateZone, FlatnessOfASaddleAndOfADent) {
  // z = 0.01 xy / 10⁴ over ± 100: the least-squares plane is z = 0.
  const auto saddle = [](double a, double b) { return 1e-6 * a * b; };
  ZoneContext context = nominal(200, 200, 5);
  context.minimum_zones = true;
  const PlateFeature f = made::plate_feature(
      made::plate(kCenter, kU, kV, 200, 200, 1.9, saddle), seen(200, 200), context);
  const double a = f.length_mm / 2, b = f.width_mm / 2;
  EXPECT_NEAR(f.flatness, 2e-6 * a * b, 0.001);
  EXPECT_NEAR(*f.flatness_mz(), f.flatness, 1e-5);

  Points dented = made::plate(kCenter, kU, kV, 300, 200, 1);
  const Vec3 w = kU.cross(kV);
  dented.push(kCenter + 0.5 * w);
  dented.push(kCenter + 1.9 * w);  // inside the gate: counts
  dented.push(kCenter + 3.0 * w);  // stray
  dented.push(kCenter - 5.9 * w);  // stray
  dented.push(kCenter + 8.0 * w);  // something else
  const PlateFeature d = made::plate_feature(dented, seen(), nominal(300, 200));
  EXPECT_NEAR(d.flatness_all, 1.9, 0.001);
  EXPECT_EQ(d.strays, 2u);
  context = nominal(300, 200);
  context.allowance_plate = 0.003;
  const PlateFeature allowed = made::plate_feature(dented, seen(), context);
  EXPECT_EQ(allowed.left_out, allowed.points * 3 / 1000);
  EXPECT_NEAR(allowed.flatness, 0, 1e-4);
}

TEST(PlateZone, APlateThatLeavesTheFieldIsTakenAsFarAsItIsSeen) {
  const Points half = made::plate(kCenter - 60 * kU, kU, kV, 180, 200, 1);
  PlateSighting where = seen(180, 200);
  where.plane.point = kCenter - 60 * kU;
  const PlateFeature f = made::plate_feature(half, where, nominal(300, 200));
  EXPECT_NEAR(f.length_mm, 174, 1.01);
  EXPECT_NEAR((f.center - (kCenter - 60 * kU)).norm(), 0, 0.3);
  // A surface longer than the plate, e.g. the table it lies level with, is cut at the nominal size.
  const PlateFeature cut = made::plate_feature(half, where, nominal(100, 100));
  EXPECT_NEAR(cut.length_mm, 94, 1e-9);
}

TEST(PlateZone, IsCutByTheMeasuringVolume) {
  const Vec3 u(1, 0, 0), v(0, 1, 0), center(0, 0, 600);
  const Points points = made::plate(center, u, v, 300, 200, 1);
  const Volume volume = Volume::box(200, 300, 150, 600);
  ZoneContext context = nominal(300, 200);
  const PlateSighting where = made::plate_sighting(center, u, v, 300, 200);
  const PlateFeature all = made::plate_feature(points, where, context);
  context.volume = &volume;
  const PlateFeature cut = made::plate_feature(points, where, context);
  for (std::size_t i = 0; i < cut.zone.size(); ++i) ASSERT_LE(std::abs(cut.zone.at(i).x()), 100);
  EXPECT_NEAR(cut.area_mm2 / all.area_mm2, 200 / all.length_mm, 0.02);
  EXPECT_NEAR(cut.spacing_mm, 1, 0.02);
  const Volume large = Volume::box(400, 300, 150, 600);
  context.volume = &large;
  EXPECT_EQ(made::plate_feature(points, where, context).points, all.points);
}

TEST(PlateZone, ItsSharesInsideTheVolumeAreThoseOfTheRectangle) {
  // The middle of each of 64 × 64 fields is asked: half a field of error along the cut.
  for (const bool turned : {false, true}) {
    const Vec3 u = turned ? Vec3(0, 1, 0) : Vec3(1, 0, 0);
    const Vec3 v = turned ? Vec3(-1, 0, 0) : Vec3(0, 1, 0);
    for (int k = 0; k < 24; ++k) {
      const Vec3 center = (40 + 5.3 * k) * Vec3::UnitX() + 600 * Vec3::UnitZ();
      const Points points = made::plate(center, u, v, 200, 150, 1);
      const Volume volume = Volume::box(200, 400, 150, 600);  // ends at x = 100
      ZoneContext context = nominal(200, 150);
      context.volume = &volume;
      const PlateFeature f =
          made::plate_feature(points, made::plate_sighting(center, u, v, 200, 150), context);
      const double side = turned ? f.width_mm : f.length_mm;
      const double inside = std::min(1.0, (100 - (f.center.x() - side / 2)) / side);
      EXPECT_NEAR(f.area_mm2 / (f.length_mm * f.width_mm), inside, 1 / 128.0 + 1e-9) << k;
    }
  }
  const Vec3 middle = 600 * Vec3::UnitZ();
  const Points points = made::plate(middle, Vec3::UnitX(), Vec3::UnitY(), 150, 100, 1);
  const Volume volume = Volume::box(200, 400, 150, 600);
  ZoneContext context = nominal(150, 100);
  context.volume = &volume;
  const PlateFeature whole = made::plate_feature(
      points, made::plate_sighting(middle, Vec3::UnitX(), Vec3::UnitY(), 150, 100), context);
  EXPECT_NEAR(whole.area_mm2, whole.length_mm * whole.width_mm, 1e-6);
}

TEST(PlateZone, FollowsTheEdgesOfThePlateWhereTheSightingIsTurned) {
  const Points points = made::plate(kCenter, kU, kV, 300, 200, 1.07);
  const Vec3 w = kU.cross(kV);
  for (const double turn : {-0.04, 0.04}) {
    const Eigen::AngleAxisd turned(turn, w);
    PlateZone z;
    z.plane = {kCenter, w};
    z.gate_mm = 1;
    z.u = turned * kU;
    z.v = turned * kV;
    ASSERT_TRUE(find_working_area(z, points, {300, 200, 3}, 3));
    // The outermost points of strips place an edge to one point in a strip of 8 mm.
    EXPECT_NEAR(z.u.dot(kV), 0, 0.005) << turn;
    EXPECT_NEAR(z.v.dot(kU), 0, 0.005) << turn;
    EXPECT_NEAR(z.u.dot(z.v), 0, 1e-12);
    EXPECT_NEAR(z.u.norm(), 1, 1e-12);
    EXPECT_NEAR(z.half_u_mm, 147, 1.2);
    EXPECT_NEAR(z.half_v_mm, 97, 1.2);
  }
}

// A few points in the plane beyond an edge (of a clamp, of a neighbour) neither move nor widen it.
TEST(PlateZone, FewPointsBeyondAnEdgeDoNotMoveIt) {
  Points points = made::plate(kCenter, kU, kV, 300, 200, 1.07);
  const Vec3 w = kU.cross(kV);
  for (int k = 0; k < 30; ++k) points.push(kCenter + (170 + k) * kU + (k - 15) * kV);
  PlateZone z;
  z.plane = {kCenter, w};
  z.gate_mm = 1;
  z.u = kU;
  z.v = kV;
  ASSERT_TRUE(find_working_area(z, points, {}, 3));  // size unknown: as far as it is seen
  // To half of the pitch.
  EXPECT_NEAR(z.half_u_mm, 147, 0.54);
  EXPECT_NEAR(z.half_v_mm, 97, 0.54);
  EXPECT_NEAR((z.center - kCenter).norm(), 0, 0.54);
}

TEST(PlateZone, MovesWithTheRigAndIgnoresTheOrder) {
  Random random(2, 0);
  const Points points = made::plate(
      kCenter, kU, kV, 300, 200, 1.3, [&](double, double) { return 0.01 * random.normal(); });
  ZoneContext context = nominal(300, 200);
  context.allowance_plate = 0.003;
  const PlateFeature a = made::plate_feature(points, seen(), context);
  const RigidTransform t = made::some_motion();
  PlateSighting moved = seen();
  moved.plane.point = t * moved.plane.point;
  moved.plane.normal = t.rotation * moved.plane.normal;
  moved.axis_u = t.rotation * moved.axis_u;
  moved.axis_v = t.rotation * moved.axis_v;
  const PlateFeature b = made::plate_feature(made::moved(points, t), moved, context);
  const PlateFeature c = made::plate_feature(made::shuffled(points, 4), seen(), context);
  for (const PlateFeature* other : {&b, &c}) {
    EXPECT_EQ(a.points, other->points);
    EXPECT_NEAR(a.flatness, other->flatness, 1e-10);
    EXPECT_NEAR(a.wider.flatness, other->wider.flatness, 1e-10);
    EXPECT_NEAR(a.narrower.flatness, other->narrower.flatness, 1e-10);
  }
}

TEST(PlateZone, VariedRectanglesAndSharesAreThoseOfTheirDefinition) {
  Random random(5, 0);
  const Vec3 w = kU.cross(kV);
  const Points points = made::plate(kCenter, kU, kV, 300, 200, 0.93, [&](double a, double b) {
    return 0.01 * random.normal() + 1e-6 * a * b;
  });
  ZoneContext context = nominal(300, 200);
  context.allowance_plate = 0.01;
  context.distortion = context.flatness_mz = true;
  const PlateFeature f = made::plate_feature(points, seen(), context);
  ASSERT_GT(f.left_out, 50u);
  const auto inside = [&](double more) {
    Points p;
    p.origin = points.origin;
    for (std::size_t i = 0; i < points.size(); ++i) {
      const Vec3 d = points.at(i) - f.center;
      if (std::abs(d.dot(kU)) <= f.length_mm / 2 + more &&
          std::abs(d.dot(kV)) <= f.width_mm / 2 + more)
        p.push(points.at(i));
    }
    return p;
  };
  const auto sorted = [&](const Points& p, const Plane& about) {
    std::vector<double> d = plane_residuals(p, about);
    std::ranges::sort(d, {}, [](double x) { return std::abs(x); });
    return d;
  };
  const auto range_without = [](std::vector<double> d, double share) {
    d.resize(d.size() - static_cast<std::size_t>(share * static_cast<double>(d.size())));
    const auto [lo, hi] = std::ranges::minmax(d);
    return hi - lo;
  };
  for (const auto& [variant, more] : {std::pair(&f.wider, 1.0), std::pair(&f.narrower, -1.0)}) {
    const Points p = inside(more);
    ASSERT_NE(p.size(), f.points);
    std::vector<double> d = sorted(p, fit_plane(p).plane);
    EXPECT_NEAR(variant->flatness, range_without(d, 0.01), 1e-9) << more;
    EXPECT_NEAR(*variant->flatness_mz, minimum_zone_plane(p).width, 1e-9) << more;
    std::ranges::sort(d);
    const auto held = static_cast<std::size_t>(std::ceil(0.95 * static_cast<double>(d.size())));
    double shortest = INFINITY;
    for (std::size_t i = 0; i + held <= d.size(); ++i)
      shortest = std::min(shortest, d[i + held - 1] - d[i]);
    EXPECT_NEAR(*variant->distortion, shortest, 1e-9) << more;
  }
  // Another share: the largest about the first fit out, one refit.
  for (const double share : {0.01, 0.03}) {
    Points kept = inside(0);
    const Plane first = fit_plane(kept).plane;
    const double limit = std::abs(
        sorted(kept, first)[kept.size() - 1 -
                            static_cast<std::size_t>(share * static_cast<double>(kept.size()))]);
    Points rest;
    rest.origin = kept.origin;
    for (std::size_t i = 0; i < kept.size(); ++i)
      if (std::abs((kept.at(i) - first.point).dot(first.normal)) <= limit + 1e-12)
        rest.push(kept.at(i));
    const PlaneFit again = fit_plane(rest);
    const AllowedPlane found = with_allowance(f, share);
    EXPECT_EQ(found.left_out, kept.size() - rest.size());
    EXPECT_NEAR(found.fit.residuals.range(), again.residuals.range(), 1e-9);
    if (share == f.share) {
      EXPECT_NEAR(f.flatness, again.residuals.range(), 1e-9);
    }
  }
  EXPECT_NEAR(f.center.dot(w), fit_plane(inside(0)).plane.point.dot(w), 0.01);
}

TEST(Classify, OfAPlateAgreesWithPlainArithmetic) {
  Random random(13, 0);
  PlateZone z;
  z.plane = {kCenter, kU.cross(kV)};
  z.gate_mm = 0.8;
  z.stray_mm = 2.4;
  z.center = kCenter + 3 * kU - 2 * kV;
  z.u = kU;
  z.v = kV;
  z.half_u_mm = 20;
  z.half_v_mm = 12;
  z.widening_mm = 1.5;
  Points p;
  p.origin = kCenter - Vec3(5, 5, 5);
  for (int i = 0; i < 20000; ++i)
    p.push(z.center + (50 * random.uniform() - 25) * kU + (34 * random.uniform() - 17) * kV +
           (6 * random.uniform() - 3) * z.plane.normal);
  ZoneCodes codes;
  classify(p, z, codes);
  for (std::size_t i = 0; i < p.size(); ++i) {
    const double off = std::abs((p.at(i) - kCenter).dot(z.plane.normal));
    const Vec3 d = p.at(i) - z.center;
    const double beyond = std::max(std::abs(d.dot(kU)) - 20, std::abs(d.dot(kV)) - 12);
    const int ring = beyond <= -1.5 ? narrow : beyond <= 0 ? zone : beyond <= 1.5 ? wide : 0;
    const int expected = off <= 0.8 ? ring : off <= 2.4 && beyond <= 0 ? stray : 0;
    ASSERT_EQ(codes[i], expected) << i;
  }
}

TEST(WholePlate, TakesEveryPoint) {
  Points points = made::plate(kCenter, kU, kV, 100, 50, 1);
  points.push(kCenter + 9 * kU.cross(kV));
  const PlateFeature f = whole_plate(points, {});
  EXPECT_EQ(f.points, points.size());
  EXPECT_GT(f.flatness, 8.9);
  EXPECT_NEAR(f.length_mm, 100, 1.01);
  EXPECT_NEAR(f.width_mm, 50, 1.01);
}

}  // namespace
}  // namespace rigproof
