#include <gtest/gtest.h>

#include "evaluate/made_points.h"
#include "evaluate/zone.h"

namespace rigproof {
namespace {

const Sphere kBall{{20, -30, 600}, 15};

Vec3 to_origin(const Sphere& s) { return (-s.center).normalized(); }

// The zone by its definition, one point at a time.
std::size_t points_in_zone(const Points& points,
                           const Sphere& about,
                           const Vec3& axis,
                           double half_angle_deg) {
  std::size_t n = 0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const Vec3 d = points.at(i) - about.center;
    const double angle = std::acos(d.normalized().dot(axis)) * 180 / std::numbers::pi;
    n += std::abs(d.norm() - about.radius) <= 0.1 * about.radius && angle <= half_angle_deg;
  }
  return n;
}

TEST(BallZone, HoldsTheGateAndTheCapAboutItsOwnFit) {
  const Vec3 axis = to_origin(kBall);
  const Points points = made::cap(kBall, axis, 80, 0.13, made::noise(0.01, 1));
  const BallFeature f = made::ball(points, made::sighting(kBall, axis), 30, {});
  ASSERT_TRUE(f.fit.ok());
  EXPECT_TRUE(f.settled);
  EXPECT_LE(f.rounds, 10);
  EXPECT_EQ(f.axis_from, CapAxis::origin);
  EXPECT_EQ(f.points, points_in_zone(points, f.fit_all.sphere, to_origin(f.fit_all.sphere), 60));
  EXPECT_EQ(f.zone.size(), f.points);
  EXPECT_EQ(f.residuals.size(), f.points);
  EXPECT_NEAR((f.fit.sphere.center - kBall.center).norm(), 0, 0.003);
  // Even in projection: 99 % of the points lie within sin² = 0.99 sin² 60°, which is 59.5°.
  EXPECT_NEAR(f.cap_half_angle_deg, 59.5, 0.1);
  EXPECT_NEAR(f.seen_half_angle_deg, 80, 1);
  EXPECT_NEAR(f.zone_half_angle_deg, 60, 0.5);
  // A cap of half-angle α has the solid angle 2π(1 − cos α).
  EXPECT_NEAR(f.spacing_mm,
              15 * std::sqrt(2 * std::numbers::pi * 0.5 / static_cast<double>(f.points)),
              0.002);
}

TEST(BallZone, ExactPointsGiveTheExactBall) {
  const Vec3 axis = to_origin(kBall);
  const Points points = made::cap(kBall, axis, 70, 0.4);
  ZoneContext context;
  context.minimum_zones = true;
  context.allowance_ball = 0.003;
  const BallFeature f = made::ball(points, made::sighting(kBall, axis), 30, context);
  EXPECT_NEAR((f.fit.sphere.center - kBall.center).norm(), 0, 1e-10);
  EXPECT_NEAR(f.fit.sphere.radius, 15, 1e-10);
  EXPECT_NEAR(f.form, 0, 1e-11);
  EXPECT_NEAR(*f.form_mz(), 0, 1e-9);
  EXPECT_NEAR((f.fit_fixed.sphere.center - kBall.center).norm(), 0, 1e-10);
  for (const BallVariant* v : {&f.wider, &f.narrower}) {
    EXPECT_NEAR((v->sphere.center - kBall.center).norm(), 0, 1e-10);
    EXPECT_NEAR(v->sphere.radius, 15, 1e-10);
    EXPECT_NEAR(v->form, 0, 1e-11);
  }
}

TEST(BallZone, ErrorsInsideTheGateCountAndStraysAreOnlyCounted) {
  const Vec3 axis = to_origin(kBall);
  Points points = made::cap(kBall, axis, 70, 0.2);
  const auto add = [&](double off, double tilt) {
    const auto [u, v] = across(axis);
    points.push(kBall.center + (std::cos(tilt) * axis + std::sin(tilt) * u) * (15 + off));
  };
  add(1.4, 0.2);  // inside the gate of 1.5 mm: counts
  add(2.0, 0.3);  // between one and three gates: strays
  add(-4.4, 0.1);
  add(4.6, 0.4);  // beyond three gates: nothing to do with the ball
  add(2.0, 1.2);  // outside the cap
  const BallFeature f = made::ball(points, made::sighting(kBall, axis), 30, {});
  EXPECT_EQ(f.strays, 2u);
  EXPECT_NEAR(f.form_all, 1.4, 0.01);
  EXPECT_EQ(f.left_out, 0u);
  EXPECT_EQ(f.form, f.form_all);
}

TEST(BallZone, LeavesOutExactlyTheAllowedShareOnce) {
  const Vec3 axis = to_origin(kBall);
  const Points points = made::cap(kBall, axis, 75, 0.17, made::noise(0.02, 5));
  ZoneContext context;
  context.allowance_ball = 0.003;
  const BallFeature f = made::ball(points, made::sighting(kBall, axis), 30, context);
  EXPECT_EQ(f.left_out, f.points * 3 / 1000);
  ASSERT_GT(f.left_out, 10u);

  // By hand: first fit, the largest out, one refit.
  const SphereFit first = fit_sphere(f.zone);
  const auto out = largest_residuals(sphere_residuals(f.zone, first.sphere), f.left_out);
  Points kept;
  kept.origin = f.zone.origin;
  for (std::size_t i = 0; i < f.zone.size(); ++i)
    if (!std::ranges::binary_search(out, i)) kept.push(f.zone.at(i));
  const SphereFit second = fit_sphere(kept);
  EXPECT_NEAR((second.sphere.center - f.fit.sphere.center).norm(), 0, 1e-9);
  EXPECT_NEAR(second.residuals.range(), f.form, 1e-9);
  EXPECT_NEAR(first.residuals.range(), f.form_all, 1e-9);
  EXPECT_LT(f.form, f.form_all);
  // The same from the ball as it was evaluated; its radius is held where it is known.
  const AllowedSphere later = with_allowance(f, 0.003, 30);
  EXPECT_EQ(later.left_out, f.left_out);
  EXPECT_NEAR((second.sphere.center - later.fit.sphere.center).norm(), 0, 1e-9);
  ASSERT_TRUE(later.fixed.ok());
  EXPECT_EQ(later.fixed.sphere.radius, 15);
  EXPECT_FALSE(with_allowance(f, 0.003, 0).fixed.ok());
  // The value without an allowance does not depend on there being one.
  const BallFeature none = made::ball(points, made::sighting(kBall, axis), 30, {});
  EXPECT_EQ(none.points, f.points);
  EXPECT_EQ(none.form_all, f.form_all);
}

TEST(BallZone, MovesWithTheRig) {
  const Vec3 axis = to_origin(kBall);
  const Points points = made::cap(kBall, axis, 80, 0.2, made::noise(0.01, 2));
  ZoneContext context;
  context.cameras = {{-150, 0, 0}, {150, 0, 0}};
  context.allowance_ball = 0.003;
  const BallFeature a = made::ball(points, made::sighting(kBall, axis), 30, context);
  const RigidTransform t = made::some_motion();
  BallSighting where = made::sighting(kBall, axis);
  where.sphere.center = t * where.sphere.center;
  where.view_axis = t.rotation * where.view_axis;
  for (Vec3& eye : context.cameras) eye = t * eye;
  const BallFeature b = made::ball(made::moved(points, t), where, 30, context);
  EXPECT_EQ(a.axis_from, CapAxis::cameras);
  EXPECT_EQ(b.axis_from, CapAxis::cameras);
  EXPECT_EQ(a.points, b.points);
  EXPECT_EQ(a.left_out, b.left_out);
  EXPECT_NEAR((t * a.fit.sphere.center - b.fit.sphere.center).norm(), 0, 1e-9);
  EXPECT_NEAR(a.form, b.form, 1e-10);
  EXPECT_NEAR(a.fit.sphere.radius, b.fit.sphere.radius, 1e-10);
  EXPECT_NEAR(a.wider.form, b.wider.form, 1e-9);
  EXPECT_NEAR(a.narrower.form, b.narrower.form, 1e-9);
}

TEST(BallZone, DoesNotDependOnTheOrderOfThePoints) {
  const Vec3 axis = to_origin(kBall);
  const Points points = made::cap(kBall, axis, 80, 0.25, made::noise(0.01, 3));
  ZoneContext context;
  context.allowance_ball = 0.003;
  const BallSighting where = made::sighting(kBall, axis);
  const BallFeature a = made::ball(points, where, 30, context);
  const BallFeature b = made::ball(made::shuffled(points, 9), where, 30, context);
  EXPECT_EQ(a.points, b.points);
  EXPECT_EQ(a.strays, b.strays);
  EXPECT_NEAR((a.fit.sphere.center - b.fit.sphere.center).norm(), 0, 1e-10);
  EXPECT_NEAR(a.form, b.form, 1e-11);
  EXPECT_NEAR(a.wider.form, b.wider.form, 1e-11);
  EXPECT_NEAR(a.narrower.form, b.narrower.form, 1e-11);
}

TEST(BallZone, SettlesOnOneSetFromDifferentSightings) {
  const Vec3 axis = to_origin(kBall);
  const Points points = made::cap(kBall, axis, 80, 0.2, made::noise(0.02, 4));
  BallSighting a = made::sighting(kBall, axis), b = a;
  b.sphere.center += Vec3(0.02, 0.01, -0.02);
  b.sphere.radius -= 0.01;
  const BallFeature fa = made::ball(points, a, 30, {}), fb = made::ball(points, b, 30, {});
  EXPECT_TRUE(fa.settled && fb.settled);
  EXPECT_EQ(fa.points, fb.points);
  EXPECT_NEAR((fa.fit.sphere.center - fb.fit.sphere.center).norm(), 0, 1e-9);
}

TEST(BallZone, TakesTheSeenSideWhereTheFrameIsNotTheSensors) {
  const Vec3 axis = Vec3(0.3, 0.2, 0.9).normalized();
  for (const Vec3& center : {Vec3(0, 0, 0), Vec3(10, 0, 0), Vec3(0, 0, 200)}) {
    const Sphere s{center, 15};
    const BallFeature f = made::ball(made::cap(s, axis, 70, 0.3), made::sighting(s, axis), 30, {});
    EXPECT_EQ(f.axis_from, CapAxis::seen);
    EXPECT_NEAR((f.fit.sphere.center - center).norm(), 0, 1e-9);
  }
}

TEST(BallZone, LeavesOutTheDeclaredHolder) {
  const Vec3 axis = to_origin(kBall);
  const Points points = made::cap(kBall, axis, 80, 0.25);
  Holder holder;
  const auto [u, v] = across(axis);
  const Vec3 stem = (0.5 * axis + std::sqrt(0.75) * v).normalized();  // 60° off the view
  holder.axis = {stem.x(), stem.y(), stem.z()};
  holder.half_angle_deg = 20;
  ZoneContext context;
  context.holders = {holder};
  const BallFeature with = made::ball(points, made::sighting(kBall, axis), 30, context);
  for (std::size_t i = 0; i < with.zone.size(); ++i)
    ASSERT_LE((with.zone.at(i) - kBall.center).normalized().dot(stem),
              std::cos(20 * std::numbers::pi / 180) + 1e-9);
  const BallFeature without = made::ball(points, made::sighting(kBall, axis), 30, {});
  EXPECT_LT(with.points, without.points);
  EXPECT_LT(with.zone_half_angle_deg, without.zone_half_angle_deg);
}

TEST(BallZone, ZoneChoiceSeesAnErrorAtTheRimOfTheCap) {
  const Vec3 axis = to_origin(kBall);
  // A bulge between 50° and 60°, as a poor incidence angle would leave.
  Points points;
  points.origin = kBall.center;
  const Points plain = made::cap(kBall, axis, 75, 0.2);
  for (std::size_t i = 0; i < plain.size(); ++i) {
    const Vec3 d = (plain.at(i) - kBall.center).normalized();
    const double angle = std::acos(d.dot(axis)) * 180 / std::numbers::pi;
    points.push(kBall.center + d * (15 + (angle > 50 && angle < 62 ? 0.02 : 0)));
  }
  const BallFeature f = made::ball(points, made::sighting(kBall, axis), 30, {});
  // By hand: half the difference of the caps of 65° and 55° about the same sphere.
  const auto cap_of = [&](double half) {
    Points p;
    p.origin = points.origin;
    for (std::size_t i = 0; i < points.size(); ++i) {
      const Vec3 d = points.at(i) - f.fit_all.sphere.center;
      if (d.normalized().dot(f.cap_axis) >= std::cos(half * std::numbers::pi / 180))
        p.push(points.at(i));
    }
    return fit_sphere(p);
  };
  const SphereFit wide = cap_of(65), narrow = cap_of(55);
  // One Gauss–Newton step from the settled fit stands for a whole fit: within 2 % of the term,
  // which is a line of the budget.
  const double size = wide.sphere.radius - narrow.sphere.radius;
  const Vec3 center = 0.5 * (wide.sphere.center - narrow.sphere.center);
  const double found = f.wider.sphere.radius - f.narrower.sphere.radius;
  EXPECT_NEAR(found, size, 0.02 * std::abs(size));
  EXPECT_NEAR((0.5 * (f.wider.sphere.center - f.narrower.sphere.center) - center).norm(),
              0,
              0.02 * center.norm());
  EXPECT_GT(std::abs(found), 1e-4);
}

TEST(BallZone, PatchesOfTheVariedCapsAreThoseOfTheirOwnCap) {
  const Vec3 axis = to_origin(kBall);
  const Points points = made::cap(kBall, axis, 75, 0.15, made::noise(0.01, 21));
  ZoneContext context;
  context.patches = {1, 8, 16};
  const BallFeature f = made::ball(points, made::sighting(kBall, axis), 30, context);
  // Patches of equal solid angle: the middle one of 25 reaches to 1 − cos θ = (1 − cos cap) / 25.
  for (const auto& [variant, cap] : {std::pair(&f.wider, 65.0), std::pair(&f.narrower, 55.0)}) {
    const Sphere& about = variant->sphere;
    const auto cosine = [](double deg) { return std::cos(deg * std::numbers::pi / 180); };
    std::array<Vec3, 25> sums;
    std::array<double, 25> radii{}, counts{};
    sums.fill(Vec3::Zero());
    const auto [u, v] = across(f.cap_axis);
    for (std::size_t i = 0; i < points.size(); ++i) {
      const Vec3 d = points.at(i) - about.center, seen = points.at(i) - f.fit_all.sphere.center;
      if (seen.normalized().dot(f.cap_axis) < cosine(cap)) continue;
      const double share = 25 * (1 - d.normalized().dot(f.cap_axis)) / (1 - cosine(cap));
      const double turn = std::atan2(d.dot(v), d.dot(u)) / (2 * std::numbers::pi) + 0.5;
      const int ring = share < 1 ? 0 : share < 9 ? 1 : 2;
      const auto k = static_cast<std::size_t>(ring == 0   ? 0
                                              : ring == 1 ? 1 + static_cast<int>(turn * 8)
                                                          : 9 + static_cast<int>(turn * 16));
      sums[k] += d.normalized();
      radii[k] += d.norm();
      ++counts[k];
    }
    Points means;
    means.origin = about.center;
    for (std::size_t k = 0; k < 25; ++k)
      means.push(about.center + sums[k].normalized() * (radii[k] / counts[k]));
    const SphereFit through = fit_sphere(means);
    EXPECT_NEAR(*variant->form_25, through.residuals.range(), 1e-7) << cap;
    EXPECT_NEAR(*variant->size_25, 2 * through.sphere.radius, 1e-7) << cap;
  }
}

TEST(BallZone, TooFewPointsAreNoBall) {
  const Vec3 axis = to_origin(kBall);
  Points three;
  three.origin = kBall.center;
  for (const double a : {0.1, 0.2, 0.3})
    three.push(kBall.center + 15 * Vec3(a * axis + std::sqrt(1 - a * a) * across(axis).first));
  const BallFeature f = made::ball(three, made::sighting(kBall, axis), 30, {});
  EXPECT_FALSE(f.fit.ok());
  EXPECT_FALSE(f.settled);
}

TEST(BallZone, SeveralBallsInOnePass) {
  const Sphere a{{-60, 5, 580}, 15}, b{{70, -10, 640}, 10};
  Points points = made::cap(a, to_origin(a), 75, 0.3);
  made::append(points, made::cap(b, to_origin(b), 75, 0.3));
  const auto f = evaluate_balls(Scan::from_points(points, "bar"),
                                {made::sighting(a, to_origin(a)), made::sighting(b, to_origin(b))},
                                {30, 20},
                                {},
                                {});
  ASSERT_EQ(f.size(), 2u);
  EXPECT_NEAR(
      (f[1].fit.sphere.center - f[0].fit.sphere.center).norm(), (b.center - a.center).norm(), 1e-9);
}

TEST(SeenHalfAngle, IsThatOfTheSolidAngle) {
  const Vec3 axis = to_origin(kBall);
  for (const double half : {28.0, 40.0, 55.0}) {
    const Points p = made::cap(kBall, axis, half, 0.3, made::noise(0.01, 6));
    EXPECT_NEAR(seen_half_angle(p, kBall.center), half, 0.6) << half;
  }
  // Half a cap of 60° has half its solid angle: 2 asin(sin 30° / √2) = 41.41°.
  const auto [u, v] = across(axis);
  const Points whole = made::cap(kBall, axis, 60, 0.15);
  Points half;
  half.origin = whole.origin;
  for (std::size_t i = 0; i < whole.size(); ++i)
    if ((whole.at(i) - kBall.center).dot(u) > 0) half.push(whole.at(i));
  EXPECT_NEAR(seen_half_angle(half, kBall.center), 41.41, 2.5);
}

TEST(WholeBall, TakesEveryPoint) {
  const Vec3 axis = to_origin(kBall);
  Points points = made::cap(kBall, axis, 60, 0.5);
  points.push(kBall.center + 18 * axis);
  ZoneContext context;
  context.allowance_ball = 0.5;
  const BallFeature f = whole_ball(points, context);
  EXPECT_EQ(f.points, points.size());
  EXPECT_EQ(f.left_out, 0u);
  EXPECT_GT(f.form, 2.5);
}

TEST(Classify, AgreesWithPlainArithmetic) {
  Random random(11, 0);
  Points p;
  p.origin = kBall.center;
  for (int i = 0; i < 20000; ++i)
    p.push_local(
        40 * random.uniform() - 20, 40 * random.uniform() - 20, 40 * random.uniform() - 20);
  BallZone z;
  z.sphere = kBall;
  z.gate_mm = 1.5;
  z.stray_mm = 4.5;
  z.axis = Vec3(0.1, -0.2, -1).normalized();
  z.holder_axis = Vec3(0, 1, 0);
  z.holder_half_angle_deg = 25;
  ZoneCodes codes;
  classify(p, z, codes);
  for (std::size_t i = 0; i < p.size(); ++i) {
    const Vec3 d = p.local(i);
    const double off = std::abs(d.norm() - 15), deg = 180 / std::numbers::pi;
    const double angle = std::acos(d.normalized().dot(z.axis)) * deg;
    const bool held = std::acos(d.normalized().y()) * deg < 25;
    const int ring = angle <= 55 ? narrow : angle <= 60 ? zone : angle <= 65 ? wide : 0;
    const int expected = held ? 0 : off <= 1.5 ? ring : off <= 4.5 && angle <= 60 ? stray : 0;
    ASSERT_EQ(codes[i], expected) << i;
  }
}

}  // namespace
}  // namespace rigproof
