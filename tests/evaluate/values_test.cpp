#include "evaluate/values.h"

#include <numbers>

#include <gtest/gtest.h>

#include "evaluate/area_weight.h"
#include "evaluate/dispersion.h"
#include "evaluate/made_points.h"

namespace rigproof {
namespace {

// A bar of steel at 23 °C in front of a perfect sensor.
class BarValues : public testing::Test {
 protected:
  BarValues() {
    artefact_.serial = "bar-1";
    artefact_.balls = {{"A", {30, 0.0008}, 0.0004}, {"B", {20, 0.0008}, 0.0004}};
    artefact_.distances = {{"A", "B", {200, 0.0012}}};
    artefact_.date = Date{std::chrono::year(2026) / 1 / 1};
    artefact_.drift_mm_per_year = 0.001;
    environment_.artefact_C = 23;
    environment_.u_artefact_C = 0.2;
    environment_.measured_on = "artefact";
    for (const char* id :
         {"probing_form", "probing_size", "sphere_spacing", "center_distance", "size_all"})
      procedure_.characteristics[id] = {};
    procedure_.characteristics["probing_form"].allowance = 0.003;
    field_.volume = Volume::box(300, 200, 150, 600);
    context_.scan = "scans/a.ply";
    context_.procedure = &procedure_;
    context_.environment = &environment_;
    context_.field = &field_;
    context_.test_date = Date{std::chrono::year(2027) / 1 / 1};
  }

  void measure(double distance, double d_a, double d_b, double sd, ZoneContext zone = {}) {
    const Vec3 middle(10, 5, 610), along = Vec3(0.8, 0.1, 0.5).normalized();
    const Sphere a{middle - distance / 2 * along, d_a / 2},
        b{middle + distance / 2 * along, d_b / 2};
    const Vec3 to_a = -a.center.normalized(), to_b = -b.center.normalized();
    const auto n = sd > 0 ? made::noise(sd, 3) : std::function<double(std::size_t)>();
    Points points = made::cap(a, to_a, 75, 0.25, n);
    made::append(points, made::cap(b, to_b, 75, 0.25, n));
    zone.allowance_ball = 0.003;
    features_ = evaluate_balls(Scan::from_points(points, "bar"),
                               {made::sighting(a, to_a), made::sighting(b, to_b)},
                               {30, 20},
                               procedure_.zones,
                               zone);
    values_ = ball_values(artefact_, {&features_[0], &features_[1]}, context_);
  }

  const TestValue& value(const std::string& id, const std::string& ball = "") const {
    for (const TestValue& v : values_)
      if (v.id == id && v.ball == ball) return v;
    throw std::runtime_error("no value " + id);
  }

  Artefact artefact_;
  Environment environment_;
  Procedure procedure_;
  Field field_;
  ValueContext context_;
  std::vector<BallFeature> features_;
  std::vector<TestValue> values_;
};

TEST_F(BarValues, OfAPerfectSensor) {
  const double grown = 1 + 11.5e-6 * 3;
  measure(200 * grown + 0.012, 30 * grown - 0.004, 20 * grown, 0);
  EXPECT_EQ(values_.size(), 8u);
  const TestValue& sd = value("sphere_spacing");
  EXPECT_NEAR(sd.reference, 200 * grown, 1e-12);
  EXPECT_NEAR(sd.value, 0.012, 1e-9);
  EXPECT_NEAR(sd.measured - sd.reference, sd.value, 1e-15);
  EXPECT_EQ(sd.pair, (std::pair<std::string, std::string>{"A", "B"}));
  EXPECT_NEAR(sd.alternatives.at("free_radius"), 0.012, 1e-9);
  // Half of each size error is part of a bidirectional length.
  EXPECT_NEAR(sd.alternatives.at("bidirectional_length"), 0.012 - 0.002, 1e-9);
  EXPECT_EQ(sd.zone, zone_id(field_.volume, sd.center));
  EXPECT_TRUE(sd.signed_value);
  EXPECT_NEAR(value("probing_size", "A").value, -0.004, 1e-9);
  EXPECT_NEAR(value("size_all", "B").value, 0, 1e-9);
  EXPECT_NEAR(value("probing_form", "A").value, 0, 1e-9);
  EXPECT_FALSE(value("probing_form", "A").signed_value);
  EXPECT_EQ(value("probing_form", "A").reference, 0);
  EXPECT_NEAR(value("center_distance").value, 0.012, 1e-9);
}

TEST_F(BarValues, ABallFittedTooSmallMovesTheCentreOfAHeldRadius) {
  measure(200 * (1 + 11.5e-6 * 3), 30.010, 20, 0);
  const TestValue& sd = value("sphere_spacing");
  EXPECT_NEAR(sd.value, 0, 1e-9);
  // δr moves the centre by −δr·m/q along the view (method, section 1, image-sampled cap of 60°).
  const double S = 0.75, m = 2.0 / 3 * (1 - std::pow(1 - S, 1.5)) / S, q = 1 - S / 2;
  const Vec3 axis = features_[0].cap_axis;
  const double shift = 0.005 * m / q;  // measured radius 5 µm more than the held one
  EXPECT_NEAR(sd.alternatives.at("fixed_radius"), -shift * axis.dot(sd.direction), 3e-5);
  procedure_.center_radius = RadiusRule::fixed;
  ZoneContext fixed;
  fixed.center_radius = RadiusRule::fixed;
  measure(200 * (1 + 11.5e-6 * 3), 30.010, 20, 0, fixed);
  EXPECT_NEAR(value("sphere_spacing").value,
              value("sphere_spacing").alternatives.at("fixed_radius"),
              1e-15);
  EXPECT_NEAR(value("sphere_spacing").value_all_points, value("sphere_spacing").value, 3e-5);
  EXPECT_NEAR(value("center_distance").value, 0, 1e-9);  // free by definition
}

TEST_F(BarValues, BudgetOfASpacing) {
  measure(200, 30, 20, 0);
  const TestValue& sd = value("sphere_spacing");
  const auto line = [&](const std::string& name) {
    for (const BudgetLine& l : sd.budget)
      if (l.line == name) return l.u;
    return -1.0;
  };
  EXPECT_NEAR(line("artefact calibration"), 0.0006, 1e-15);
  EXPECT_NEAR(line("drift since calibration"), 0.001 * (365 / 365.25) / std::sqrt(3.0), 1e-15);
  EXPECT_NEAR(line("temperature"), 200 * 11.5e-6 * 0.2, 1e-15);
  EXPECT_NEAR(line("expansion coefficient"), 200 * 3 * 1e-6 / std::sqrt(3.0), 1e-15);
  double square = 0;
  for (const BudgetLine& l : sd.budget) square += l.u * l.u;
  EXPECT_NEAR(sd.u, std::sqrt(square), 1e-15);
  EXPECT_NEAR(sd.U, sd.k * sd.u, 1e-15);
  // The scanner's noise is part of the tested error: it is not in u.
  const double quiet = sd.u;
  measure(200, 30, 20, 0.01);
  EXPECT_GT(value("sphere_spacing").u_fit, 0.0001);
  EXPECT_NEAR(value("sphere_spacing").u, quiet, 0.0006);  // but for what the zone choice sees of it
}

TEST_F(BarValues, TheAllowanceBelongsToTheCharacteristic) {
  measure(200, 30, 20, 0.01);
  const TestValue &form = value("probing_form", "A"), &size = value("probing_size", "A");
  EXPECT_EQ(form.left_out, form.points * 3 / 1000);
  EXPECT_EQ(form.value, features_[0].form);
  EXPECT_EQ(form.value_all_points, features_[0].form_all);
  EXPECT_EQ(size.left_out, 0u);
  EXPECT_EQ(size.value, size.value_all_points);
}

TEST_F(BarValues, EveryCharacteristicMayHaveAnotherShare) {
  procedure_.characteristics["probing_size"].allowance = 0.01;
  measure(200, 30, 20, 0.01);
  const TestValue& size = value("probing_size", "A");
  const BallFeature& f = features_[0];
  EXPECT_EQ(size.left_out, f.points / 100);
  // By hand: the fit of what is left of the zone.
  const auto out = largest_residuals(sphere_residuals(f.zone, f.fit_all.sphere), f.points / 100);
  Points kept;
  kept.origin = f.zone.origin;
  for (std::size_t i = 0; i < f.zone.size(); ++i)
    if (!std::ranges::binary_search(out, i)) kept.push_local(f.zone.x[i], f.zone.y[i], f.zone.z[i]);
  EXPECT_NEAR(size.measured, 2 * fit_sphere(kept).sphere.radius, 1e-9);
  EXPECT_EQ(value("probing_form", "A").value, f.form);
}

TEST_F(BarValues, SupportAndBendingAreLinesOfALength) {
  artefact_.support_mm = 0.0006;
  artefact_.bending = Bending{25, 20};
  measure(200, 30, 20, 0);
  const auto line = [&](const char* id, const std::string& name) {
    for (const BudgetLine& l : value(id, id[0] == 'p' ? "A" : "").budget)
      if (l.line == name) return l.u;
    return -1.0;
  };
  // 2 · 25 mm · 20 µrad = 1 µm, half-width of a rectangle.
  EXPECT_NEAR(line("sphere_spacing", "bending"), 0.001 / std::sqrt(3.0), 1e-15);
  EXPECT_NEAR(line("sphere_spacing", "support"), 0.0006 / std::sqrt(3.0), 1e-15);
  EXPECT_EQ(line("probing_size", "support"), -1);
  EXPECT_EQ(line("probing_form", "drift since calibration"),
            0.001 * (365 / 365.25) / std::sqrt(3.0));
}

// Every line and every figure beside a value from the fits of the zones, by its formula
// (docs/method.md).
TEST_F(BarValues, EveryLineAndFigureIsThatOfItsFormula) {
  context_.coordinate_step_mm = 0.004;
  artefact_.coating_mm = 0.0015;
  measure(200, 30, 20, 0.01);
  const auto line = [&](const TestValue& v, const std::string& name) {
    for (const BudgetLine& l : v.budget)
      if (l.line == name) return l.u;
    return -1.0;
  };
  const double step = 0.004 / std::sqrt(12.0), drift = 0.001 * (365 / 365.25) / std::sqrt(3.0);
  for (const std::size_t k : {0u, 1u}) {
    const BallFeature& f = features_[k];
    const std::string ball = k == 0 ? "A" : "B";
    const double diameter = k == 0 ? 30 : 20;
    const TestValue &form = value("probing_form", ball), &size = value("probing_size", ball);
    // A range has two ends.
    EXPECT_NEAR(line(form, "coordinate rounding"), step * std::sqrt(2.0), 1e-15);
    EXPECT_NEAR(line(form, "artefact form"), 0.0002, 1e-15);
    EXPECT_NEAR(line(form, "coating"), 0.0015 / std::sqrt(3.0), 1e-15);
    EXPECT_NEAR(line(form, "zone choice"), std::abs(f.wider.form - f.narrower.form) / 2, 1e-15);
    const double scatter = std::min(f.noise.sd_mm, f.fit.residuals.rms);
    EXPECT_NEAR(
        form.u_fit, range_repeatability(scatter, f.noise.area, f.points, f.left_out), 1e-15);
    // A diameter has two walls, and is twice the radius.
    EXPECT_NEAR(line(size, "coating"), 0.003 / std::sqrt(3.0), 1e-15);
    EXPECT_NEAR(line(size, "artefact calibration"), 0.0004, 1e-15);
    EXPECT_NEAR(line(size, "drift since calibration"), drift, 1e-15);
    EXPECT_NEAR(line(size, "temperature"), diameter * 11.5e-6 * 0.2, 1e-15);
    EXPECT_NEAR(
        line(size, "coordinate rounding"), step * 2 * std::sqrt(f.fit.cofactor(3, 3)), 1e-15);
    EXPECT_NEAR(line(size, "zone choice"),
                std::abs(f.wider.sphere.radius - f.narrower.sphere.radius),
                1e-15);
    EXPECT_NEAR(size.u_fit, 2 * std::sqrt(f.covariance(3, 3)), 1e-15);
    EXPECT_NEAR(size.reference, diameter * (1 + 3 * 11.5e-6), 1e-12);
    for (const TestValue* v : {&form, &size}) {
      EXPECT_EQ(v->nominal_length, diameter);
      EXPECT_EQ(v->points, f.points);
      EXPECT_EQ(v->direction, f.cap_axis);
      EXPECT_NEAR(v->spacing_um, 1000 * f.spacing_mm, 1e-9);
      EXPECT_EQ(v->noise_area, f.noise.area);
    }
    const Sphere even = area_weighted_sphere(f);
    EXPECT_NEAR(size.alternatives.at("area_weighted"), 2 * even.radius - size.reference, 1e-12);
    std::vector<double> d = sphere_residuals(f.zone, even);
    std::ranges::sort(d, {}, [](double x) { return std::abs(x); });
    d.resize(d.size() - d.size() * 3 / 1000);
    const auto [lo, hi] = std::ranges::minmax(d);
    EXPECT_NEAR(form.alternatives.at("area_weighted"), hi - lo, 1e-12);
  }
  const BallFeature &a = features_[0], &b = features_[1];
  const TestValue& sd = value("sphere_spacing");
  const Vec3 along = (b.fit_all.sphere.center - a.fit_all.sphere.center).normalized();
  const auto root = [&](const Eigen::Matrix4d& sum) {
    return std::sqrt(along.dot(sum.topLeftCorner<3, 3>() * along));
  };
  EXPECT_NEAR((sd.direction - along).norm(), 0, 1e-12);
  EXPECT_NEAR(sd.u_fit, root(a.covariance + b.covariance), 1e-12);
  EXPECT_NEAR(
      line(sd, "coordinate rounding"), step * root(a.fit_all.cofactor + b.fit_all.cofactor), 1e-12);
  const auto between = [](const BallVariant& p, const BallVariant& q) {
    return (p.sphere.center - q.sphere.center).norm();
  };
  EXPECT_NEAR(line(sd, "zone choice"),
              std::abs(between(a.wider, b.wider) - between(a.narrower, b.narrower)) / 2,
              1e-12);
  EXPECT_EQ(sd.points, a.points + b.points);
  EXPECT_EQ(sd.left_out, 0u);
  EXPECT_EQ(sd.nominal_length, 200);
  EXPECT_NEAR(sd.noise_area, (a.noise.area + b.noise.area) / 2, 1e-12);
  EXPECT_NEAR(sd.spacing_um, 1000 * std::max(a.spacing_mm, b.spacing_mm), 1e-9);
  EXPECT_NEAR(
      (sd.center - (a.fit_all.sphere.center + b.fit_all.sphere.center) / 2).norm(), 0, 1e-12);
  EXPECT_NEAR(
      sd.alternatives.at("area_weighted"),
      (area_weighted_sphere(a).center - area_weighted_sphere(b).center).norm() - sd.reference,
      1e-12);
  context_.information = false;
  measure(200, 30, 20, 0.01);
  for (const TestValue& v : values_) EXPECT_EQ(v.alternatives.count("area_weighted"), 0u) << v.id;
}

TEST_F(BarValues, OnlyWhatTheProcedureNamesAndWhatWasFound) {
  procedure_.characteristics = {{"sphere_spacing", {}}};
  measure(200, 30, 20, 0);
  EXPECT_EQ(values_.size(), 1u);
  EXPECT_TRUE(ball_values(artefact_, {&features_[0], nullptr}, context_).empty());
  context_.procedure = nullptr;
  EXPECT_TRUE(ball_values(artefact_, {&features_[0], &features_[1]}, context_).empty());
}

TEST_F(BarValues, PooledNoiseScalesTheRepeatability) {
  measure(200, 30, 20, 0.01);
  TestValue v = value("sphere_spacing");
  const double before = v.u_fit, area = v.noise_area;
  with_pooled_noise(v, {0.01, 4 * area, 100});
  EXPECT_NEAR(v.u_fit, 2 * before, 1e-12);
  with_pooled_noise(v, {});  // nothing pooled: as it was
  EXPECT_NEAR(v.u_fit, 2 * before, 1e-12);

  // The two balls have areas of their own: the area of the length stands for both, so that pooling
  // gives what the covariances of the pooled area give.
  v = value("sphere_spacing");
  with_pooled_noise(v, {0.01, 3, 100});
  double variance = 0;
  for (const BallFeature& f : features_)
    variance +=
        v.direction.dot(f.covariance.topLeftCorner<3, 3>() * v.direction) * 3 / f.noise.area;
  EXPECT_NEAR(v.u_fit, std::sqrt(variance), 1e-12);

  // An end of a range of n/A independent values: pi/sqrt(6)/sqrt(2 ln(n/A)) of the normal limit
  // (Gumbel) where nothing is left out.
  v = value("probing_form", "A");
  v.left_out = 0;
  with_pooled_noise(v, {0.01, 3, 100});
  const double n_eff = static_cast<double>(v.points) / 3;
  EXPECT_NEAR(v.u_fit,
              std::sqrt(2.0) * v.noise_sd * std::numbers::pi / std::sqrt(12 * std::log(n_eff)),
              1e-12);
}

TEST_F(BarValues, DispersionAndPatches) {
  for (const char* id : {"form_dispersion", "form_25", "size_25"})
    procedure_.characteristics[id] = {};
  ZoneContext zone;
  zone.dispersion = ShellRule::concentric;
  zone.both_shells = true;
  zone.patches = procedure_.patches;
  measure(200, 30, 20, 0.01, zone);
  // 95 % of normal deviations lie within ± 1.96 σ: D95 = 3.92 σ, less what the search for the
  // shortest interval gains on a finite sample.
  EXPECT_LE(value("form_dispersion", "A").value, 0.0392 * 1.01);
  EXPECT_GE(value("form_dispersion", "A").value, 0.0392 * 0.95);
  const double concentric = value("form_dispersion", "A").value;
  // Means of n/25 points: range of 25 normals is 3.93 standard errors, less for four parameters.
  const double sem = 0.01 / std::sqrt(static_cast<double>(features_[0].points) / 25);
  EXPECT_LT(value("form_25", "A").value, 7 * sem);
  EXPECT_GT(value("form_25", "A").value, 1.5 * sem);
  EXPECT_NEAR(value("size_25", "A").value, value("probing_size", "A").value, 8 * sem);
  // The zone-choice line is that of the value itself: D95 of noise hardly hangs on the cap, and the
  // means of 25 patches move with the points that enter and leave them.
  const auto zone_u = [&](const char* id) { return value(id, "A").budget.back().u; };
  EXPECT_LT(zone_u("form_dispersion"), 0.02 * 0.0392);
  EXPECT_GT(zone_u("form_dispersion"), 0);
  EXPECT_LT(zone_u("size_25"), 4 * sem);
  EXPECT_GT(zone_u("size_25"), 0);
  EXPECT_LE(value("form_dispersion", "A").alternatives.at("free_shell"), concentric);
  procedure_.dispersion_shell = ShellRule::free;
  zone.dispersion = ShellRule::free;
  measure(200, 30, 20, 0.01, zone);
  EXPECT_LE(value("form_dispersion", "A").value, concentric);
  EXPECT_GT(value("form_dispersion", "A").value, 0.9 * concentric);
  EXPECT_EQ(value("form_dispersion", "A").alternatives.at("concentric_shell"), concentric);
}

// The area that both ends would have to share: variances go with 1/n_eff, n_eff with 1/area.
TEST_F(BarValues, CorrelationAreaOfASpacingIsThatOfBothEnds) {
  measure(200, 30, 20, 0.01);
  features_[0].noise.area = 4;
  features_[1].noise.area = 16;
  values_ = ball_values(artefact_, {&features_[0], &features_[1]}, context_);
  const TestValue& sd = value("center_distance");
  const auto along = [&](int i) {
    return sd.direction.dot(features_[i].covariance.topLeftCorner<3, 3>() * sd.direction);
  };
  const double of_points = along(0) / 4 + along(1) / 16;  // what independent points would give
  EXPECT_NEAR(sd.noise_area, (along(0) + along(1)) / of_points, 1e-9);
  EXPECT_NEAR(sd.u_fit, std::sqrt(along(0) + along(1)), 1e-15);
  for (BallFeature& f : features_) f.covariance = f.covariance_fixed = Eigen::Matrix4d::Zero();
  values_ = ball_values(artefact_, {&features_[0], &features_[1]}, context_);
  EXPECT_EQ(value("center_distance").noise_area, 10);
}

TEST_F(BarValues, PatchesGiveFormOrSizeAsAsked) {
  ZoneContext zone;
  zone.patches = procedure_.patches;
  for (const std::string asked : {"form_25", "size_25"}) {
    procedure_.characteristics = {{asked, {}}};
    measure(200, 30, 20, 0.01, zone);
    EXPECT_EQ(values_.size(), 2u) << asked;  // of either ball
    for (const TestValue& v : values_) EXPECT_EQ(v.id, asked);
  }
  // A ball of unknown size has no size error.
  artefact_.balls[0].diameter.mm = 0;
  measure(200, 30, 20, 0.01, zone);
  ASSERT_EQ(values_.size(), 1u);
  EXPECT_EQ(values_[0].ball, "B");
}

TEST(Patches, HaveEqualSolidAngleAndKeepAnExactSphere) {
  const Sphere s{{0, 0, 500}, 20};
  const BallFeature f =
      made::ball(made::cap(s, -Vec3::UnitZ(), 75, 0.1), made::sighting(s, -Vec3::UnitZ()), 40, {});
  const auto means = patch_means(f.zone, f.fit_all.sphere, {f.cap_axis, 60, {1, 8, 16}});
  ASSERT_TRUE(means);
  EXPECT_EQ(means->size(), 25u);
  std::size_t points = 0;
  for (std::size_t k = 0; k < means->size(); ++k) {
    const PatchMean& m = (*means)[k];
    EXPECT_NEAR((m.point - s.center).norm(), 20, 1e-9);
    EXPECT_GT((m.point - s.center).dot(f.cap_axis), 20 * 0.5);  // within the cap of 60°
    // A twenty-fifth of the cap's solid angle. The points lie evenly as the sensor sees them, so
    // that they crowd with the cosine to the axis, of which a ring holds the mean of its rims'.
    const auto rim = [](double patches) { return 1 - patches / 25 * 0.5; };
    const double cosine = k < 1   ? (rim(0) + rim(1)) / 2
                          : k < 9 ? (rim(1) + rim(9)) / 2
                                  : (rim(9) + rim(25)) / 2;
    const double expected = f.points / 25.0 * cosine / ((rim(0) + rim(25)) / 2);
    EXPECT_NEAR(m.points, expected, 0.05 * expected) << k;
    points += m.points;
  }
  EXPECT_EQ(points, f.points);
  // A gap in the cap leaves a patch without points.
  EXPECT_FALSE(patch_means(f.zone, f.fit_all.sphere, {f.cap_axis, 140, {1, 8, 16}}));
}

TEST(ShortestInterval, HoldsTheShareAndIsShortest) {
  EXPECT_DOUBLE_EQ(shortest_interval({0, 10, 1, 2, 3}, 0.8), 3);
  EXPECT_DOUBLE_EQ(shortest_interval({5}, 0.95), 0);
  EXPECT_DOUBLE_EQ(shortest_interval({1, 2, 3, 4}, 1), 3);
  EXPECT_DOUBLE_EQ(shortest_interval({}, 0.95), 0);
}

TEST(PlateValues, OfABowedPlate) {
  Artefact a;
  a.kind = ArtefactKind::plate;
  a.serial = "plate-1";
  a.length_mm = 300;
  a.width_mm = 200;
  a.flatness = {0.004, 0.002};
  Procedure p;
  for (const char* id : {"flatness", "flat_distortion", "flatness_mz"}) p.characteristics[id] = {};
  ValueContext c;
  c.procedure = &p;
  ZoneContext zone;
  zone.plates = {{300, 200, 3}};
  zone.minimum_zones = zone.flatness_mz = zone.distortion = true;
  const Vec3 u = Vec3::UnitX(), v = Vec3::UnitY(), at(0, 0, 600);
  const Points points =
      made::plate(at, u, v, 300, 200, 1, [](double x, double) { return 0.02 * x * x / 22500; });
  const PlateFeature f =
      made::plate_feature(points, made::plate_sighting(at, u, v, 300, 200), zone);
  const auto values = plate_values(a, f, c);
  ASSERT_EQ(values.size(), 3u);
  // A parabola over ± h: flatness is its whole height, 95 % of it lies within 0.95² of that.
  const double height = 0.02 * std::pow(f.length_mm / 300, 2);
  EXPECT_NEAR(values[0].value, height, 4e-4);
  EXPECT_NEAR(values[1].value, 0.95 * 0.95 * height, 6e-4);
  EXPECT_NEAR(values[2].value, height, 4e-4);
  for (const TestValue& value : values) {
    EXPECT_FALSE(value.signed_value);
    EXPECT_EQ(value.points, f.points);
    EXPECT_EQ(value.nominal_length, 300);
    EXPECT_NEAR(value.spacing_um, 1000, 10);  // a grid of 1 mm
    EXPECT_DOUBLE_EQ(value.spacing_um, 1000 * f.spacing_mm);
    EXPECT_EQ(value.direction, f.fit.plane.normal);
    EXPECT_EQ(value.center, f.center);
  }
  // Both ends of the range are rounded; zone choice is half the change between the rectangles.
  c.coordinate_step_mm = 0.004;
  const auto rounded = plate_values(a, f, c);
  EXPECT_NEAR(rounded[0].budget[5].u, 0.004 / std::sqrt(6.0), 1e-15);
  EXPECT_NEAR(rounded[0].budget[6].u, std::abs(f.wider.flatness - f.narrower.flatness) / 2, 1e-15);
  EXPECT_NEAR(
      rounded[1].budget[6].u, std::abs(*f.wider.distortion - *f.narrower.distortion) / 2, 1e-15);
  EXPECT_NEAR(
      rounded[2].budget[6].u, std::abs(*f.wider.flatness_mz - *f.narrower.flatness_mz) / 2, 1e-15);
  // A parabola over ± h has its mean at a third of its height: peak, valley and root mean square
  // of ISO 12781-1 about the least-squares plane are 2/3, 1/3 and √(4/45) of it.
  const auto& about = values[0].alternatives;
  EXPECT_NEAR(about.at("FLTp") + about.at("FLTv"), values[0].value, 1e-12);
  EXPECT_NEAR(std::max(about.at("FLTp"), about.at("FLTv")), height * 2 / 3, 2e-4);
  EXPECT_NEAR(about.at("FLTq"), height * std::sqrt(4 / 45.0), 2e-4);
  // Certificate U/k and half the plate's own flatness.
  EXPECT_NEAR(values[0].budget[0].u, 0.001, 1e-15);
  EXPECT_NEAR(values[0].budget[1].u, 0.002, 1e-15);
}

}  // namespace
}  // namespace rigproof
