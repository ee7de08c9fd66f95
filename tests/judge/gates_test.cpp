#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "judge/scan_gates.h"
#include "judge/session_gates.h"
#include "judge/unit_hint.h"

namespace rigproof {
namespace {

using testing::HasSubstr;

const Finding* find(const std::vector<Finding>& all, const std::string& id) {
  for (const Finding& f : all)
    if (f.id == id) return &f;
  return nullptr;
}

BallFeature good_ball(double radius = 15) {
  BallFeature f;
  f.fit.sphere = {{0, 0, 600}, radius};
  f.fit.stop = FitStop::converged;
  f.points = 20000;
  f.settled = true;
  f.seen_half_angle_deg = 78;
  f.zone_half_angle_deg = 60;
  return f;
}

std::vector<Finding> gates(const BallFeature& f, double nominal = 30, const Volume* v = nullptr) {
  return ball_findings(f, {"A", nominal, 1, v}, {}, "scans/a.ply");
}

TEST(UnitHint, KnowsTheUsualUnits) {
  const auto hint = unit_hint(30 / 25.4 * 1.015, 30);
  ASSERT_TRUE(hint);
  EXPECT_EQ(hint->unit, "inch");
  EXPECT_EQ(hint->words, "25.4 times too small");
  EXPECT_EQ(unit_hint(0.0300, 30)->unit, "m");
  EXPECT_EQ(unit_hint(3.01, 30)->unit, "cm");
  EXPECT_EQ(unit_hint(30000, 30)->unit, "um");
  EXPECT_EQ(unit_hint(30 * 25.4, 30, 25.4)->unit, "mm");  // millimetres declared as inches
  EXPECT_FALSE(unit_hint(30 / 25.4 * 1.03, 30));
  EXPECT_FALSE(unit_hint(30, 30));
  EXPECT_FALSE(unit_hint(0, 30));
  EXPECT_FALSE(unit_hint(300, 30));  // ten times too large: no unit in use of 0.1 mm
}

TEST(BallGates, NothingToSayAboutAGoodBall) {
  const Volume v = Volume::box(300, 200, 150, 600);
  EXPECT_TRUE(gates(good_ball(), 30, &v).empty());
}

TEST(BallGates, ShortCaps) {
  BallFeature f = good_ball();
  for (const auto& [seen, severity] : {std::pair{40.0, Severity::warn}, {29.0, Severity::stop}}) {
    f.seen_half_angle_deg = f.zone_half_angle_deg = seen;
    const auto all = gates(f);
    const Finding* cap = find(all, "short-cap");
    ASSERT_TRUE(cap);
    EXPECT_EQ(cap->severity, severity);
    EXPECT_EQ(cap->scope, Scope::scan);
  }
  // The zone, not the ball, may be what was seen too little of.
  f.seen_half_angle_deg = 60;
  EXPECT_TRUE(find(gates(f), "short-cap"));
}

TEST(BallGates, CapFactorIsThatOfTheClosedForm) {
  // √n u/σ of an image-sampled cap: 7.060 at 60°, and n falls with sin².
  const double S = std::pow(std::sin(std::numbers::pi / 6), 2);
  const double m = 2.0 / 3 * (1 - std::pow(1 - S, 1.5)) / S, q = 1 - S / 2;
  const double at_30 = 1 / std::sqrt(q - m * m);
  EXPECT_NEAR(cap_uncertainty_factor(30, 60), at_30 / 7.060 * std::sqrt(0.75 / 0.25), 0.01);
  EXPECT_DOUBLE_EQ(cap_uncertainty_factor(60, 60), 1);
}

TEST(BallGates, UnitsGiantsAndTooFewPoints) {
  const auto inches = gates(good_ball(15 / 25.4));
  ASSERT_TRUE(find(inches, "unit-mismatch"));
  EXPECT_THAT(find(inches, "unit-mismatch")->text, HasSubstr("--units inch"));
  EXPECT_FALSE(find(inches, "giant-sphere"));
  EXPECT_TRUE(find(gates(good_ball(2000)), "giant-sphere"));
  EXPECT_TRUE(find(gates(good_ball(2000), 0), "giant-sphere"));
  BallFeature few = good_ball();
  few.points = 499;
  EXPECT_TRUE(find(gates(few), "too-few-points"));
  few.points = 500;
  EXPECT_FALSE(find(gates(few), "too-few-points"));
  few.fit.stop = FitStop::degenerate;
  EXPECT_TRUE(find(gates(few), "fit-failed"));
  BallFeature loose = good_ball();
  loose.settled = false;
  EXPECT_TRUE(find(gates(loose), "zone-unsettled"));
}

TEST(BallGates, TheWholeCapIsInsideTheVolume) {
  const Volume v = Volume::box(300, 200, 150, 600);
  BallFeature f = good_ball();
  f.cap_axis = -Vec3::UnitZ();
  // The pole reaches 15 mm towards the rig; the rim 15 sin 60° sideways.
  f.fit.sphere.center = {0, 0, 525 + 14};
  EXPECT_NEAR(outside_by(f, 60, v), 1, 1e-9);
  EXPECT_TRUE(find(gates(f, 30, &v), "outside-volume"));
  f.fit.sphere.center = {0, 0, 525 + 15.1};
  EXPECT_FALSE(find(gates(f, 30, &v), "outside-volume"));
  f.fit.sphere.center = {150 - 15 * std::sin(std::numbers::pi / 3) + 1, 0, 600};
  EXPECT_NEAR(outside_by(f, 60, v), 1, 0.01);
}

TEST(RepeatabilityGate, StopsAboveTheShareOfTheLimit) {
  Procedure p;
  TestValue v;
  v.id = "sphere_spacing";
  v.u_fit = 0.0101;
  v.pair = {"A", "B"};
  EXPECT_EQ(repeatability_finding(v, 0.030, 60, p)->id, "fit-uncertain");
  EXPECT_EQ(repeatability_finding(v, 0.030, 40, p)->id, "short-cap");
  EXPECT_EQ(repeatability_finding(v, 0.030, 40, p)->severity, Severity::stop);
  v.u_fit = 0.0099;
  EXPECT_FALSE(repeatability_finding(v, 0.030, 40, p));
}

TEST(FileGates, SerialsScalesAndDroppedPoints) {
  EXPECT_EQ(serial_in({"made by x", "Serial No: R12-0044, lens 8"}), "R12-0044");
  EXPECT_EQ(serial_in({"device serial=\"77\""}), "77");
  EXPECT_EQ(serial_in({"serial_number R1"}), "R1");
  EXPECT_EQ(serial_in({"nothing here", "serial"}), "");
  ScanFacts facts;
  Rig rig;
  rig.serial = "R12";
  facts.points = 95;
  EXPECT_TRUE(file_findings(facts, rig, "s").empty());
  facts.comments = {"serial R13"};
  facts.transform_scale = 1.0002;
  facts.dropped = 5;
  const auto all = file_findings(facts, rig, "s");
  EXPECT_EQ(find(all, "rig-mismatch")->scope, Scope::session);
  EXPECT_TRUE(find(all, "scaled"));
  EXPECT_EQ(find(all, "points-dropped")->severity, Severity::note);
  EXPECT_EQ(find(file_findings(facts, rig, "s", 0.06), "points-dropped")->severity, Severity::warn);
  EXPECT_FALSE(find(all, "surplus"));
  facts.trailing = 1;
  EXPECT_THAT(find(file_findings(facts, rig, "s"), "surplus")->text, HasSubstr("for 1 line after"));
  facts.scalar = ScalarType::float32;
  facts.trailing = 12;
  EXPECT_THAT(find(file_findings(facts, rig, "s"), "surplus")->text, HasSubstr("12 bytes"));
  facts.comments = {"serial R12"};
  EXPECT_FALSE(find(file_findings(facts, rig, "s"), "rig-mismatch"));
}

TEST(RecognitionGates, OneBallAmbiguousNothing) {
  Sighting sighting;
  sighting.balls.resize(1);
  sighting.balls[0].sphere.radius = 15;
  Recognition r;
  r.one_ball = true;
  EXPECT_TRUE(find(recognition_findings(r, sighting, "s"), "one-ball"));
  r = {};
  sighting.near_misses = {"flat surface 812 × 640 mm"};
  const auto nothing = recognition_findings(r, sighting, "s");
  ASSERT_TRUE(find(nothing, "nothing-found"));
  EXPECT_THAT(nothing[0].text, HasSubstr("812 × 640"));
  EXPECT_THAT(nothing[0].text, HasSubstr("30.000 mm"));
  r.ambiguous = true;
  r.candidates = {"bar b1", "bar b2"};
  const auto both = recognition_findings(r, sighting, "s");
  ASSERT_EQ(both.size(), 1u);
  EXPECT_EQ(both[0].id, "ambiguous");
}

Artefact bar() {
  Artefact a;
  a.serial = "bar-1";
  a.balls = {{"A", {30, 0.0008}, 0.0004}, {"B", {30.2, 0.0008}, 0.0004}};
  a.distances = {{"A", "B", {250, 0.0011}}};
  return a;
}

Limits limits(double spacing) {
  Limits l;
  l.by_characteristic["sphere_spacing"] = {spacing, 0};
  l.by_characteristic["probing_form"] = {0.030, 0};
  return l;
}

TEST(ArtefactGates, CertificateAndDates) {
  using namespace std::chrono;
  Artefact a = bar();
  a.due = year(2026) / 3 / 1;
  const Volume v = Volume::box(300, 200, 150, 600);
  Procedure p;
  EXPECT_TRUE(artefact_findings(a, limits(0.03), p, &v, Date{year(2026) / 3 / 1}).empty());
  auto all = artefact_findings(a, limits(0.03), p, &v, Date{year(2026) / 3 / 11});
  ASSERT_TRUE(find(all, "artefact-overdue"));
  EXPECT_EQ(find(all, "artefact-overdue")->severity, Severity::warn);
  EXPECT_THAT(find(all, "artefact-overdue")->text, HasSubstr("10 days"));
  p.overdue_stops = true;
  a.certified = false;
  a.balls[1].diameter.mm = 30.0;
  a.balls[0].form_mm = 0.0061;
  all = artefact_findings(a, limits(0.003), p, &v, Date{year(2026) / 3 / 11});
  EXPECT_EQ(find(all, "artefact-overdue")->severity, Severity::stop);
  EXPECT_TRUE(find(all, "artefact-uncertified"));
  EXPECT_TRUE(find(all, "balls-alike"));
  ASSERT_TRUE(find(all, "artefact-weak"));
  EXPECT_THAT(find(all, "artefact-weak")->text, HasSubstr("37 %"));
}

TEST(ArtefactGates, SizeAgainstTheVolume) {
  const Volume v = Volume::box(300, 200, 150, 600);  // L0 = 390.5 mm
  Artefact a = bar();
  EXPECT_FALSE(size_finding(a, v));
  a.distances[0].length.mm = 110;
  EXPECT_TRUE(size_finding(a, v));
  a.distances[0].length.mm = 250;
  a.balls[0].diameter.mm = 7;
  EXPECT_TRUE(size_finding(a, v));
  Artefact plate;
  plate.kind = ArtefactKind::plate;
  plate.length_mm = 200;
  plate.width_mm = 60;
  EXPECT_FALSE(size_finding(plate, v));
  plate.width_mm = 40;
  EXPECT_TRUE(size_finding(plate, v));
}

TEST(EnvironmentGates, TemperatureSoakAndCorrection) {
  Environment e;
  auto all = environment_findings(e, {bar()}, limits(0.03));
  ASSERT_TRUE(find(all, "temperature-missing"));
  e.artefact_C = 20.1;
  e.u_artefact_C = 0.2;
  e.measured_on = "artefact";
  e.soaked_h = 2;
  EXPECT_TRUE(environment_findings(e, {bar()}, limits(0.03)).empty());
  e.artefact_C = 23;  // 250 mm · 11.5e-6 · 3 K = 8.6 µm, more than 0.1 T
  all = environment_findings(e, {bar()}, limits(0.03));
  ASSERT_TRUE(find(all, "temperature-corrected"));
  EXPECT_THAT(all[0].text, HasSubstr("8.6 µm"));
  e.artefact_C = 20;
  e.artefact_C_end = 21.5;  // 4.3 µm of 30 µm
  ASSERT_TRUE(find(environment_findings(e, {bar()}, limits(0.03)), "not-soaked"));
  e.artefact_C_end = 25.2;  // half the limit must be a stop
  EXPECT_EQ(find(environment_findings(e, {bar()}, limits(0.03)), "not-soaked")->severity,
            Severity::stop);
  e.artefact_C_end.reset();
  e.soaked_h = 0.5;
  EXPECT_EQ(find(environment_findings(e, {bar()}, limits(0.03)), "not-soaked")->severity,
            Severity::warn);
}

TEST(WarmUp, StopsWhenTheClosingRepeatMoved) {
  TestValue first, last;
  first.u_fit = last.u_fit = 0.001;
  last.value = 0.0075 + 2 * std::hypot(0.001, 0.001) - 1e-6;
  EXPECT_FALSE(warm_up_finding(first, last, 0.030, 0.25));
  last.value = -last.value - 2e-6;
  const auto f = warm_up_finding(first, last, 0.030, 0.25);
  ASSERT_TRUE(f);
  EXPECT_EQ(f->scope, Scope::session);
  EXPECT_EQ(f->severity, Severity::stop);
}

TEST(SessionGates, UncertaintyThatTheRuleLeavesOut) {
  TestValue small, large;
  small.id = large.id = "sphere_spacing";
  small.U = 0.009;
  large.U = 0.011;
  large.scan = "scans/b.ply";
  const LimitedValue a{&small, 0.03}, b{&large, 0.03};
  EXPECT_FALSE(uncertainty_ignored({a}, DecisionRule::simple));
  EXPECT_FALSE(uncertainty_ignored({a, b}, DecisionRule::proven));
  EXPECT_FALSE(uncertainty_ignored({}, DecisionRule::simple));
  const auto f = uncertainty_ignored({a, b}, DecisionRule::simple);
  ASSERT_TRUE(f);
  EXPECT_EQ(f->severity, Severity::warn);
  EXPECT_EQ(f->scope, Scope::session);
  EXPECT_THAT(f->text, HasSubstr("37 % of the limit (sphere spacing error, scans/b.ply)"));
}

TEST(SessionGates, LimitsPositionsMeshesWords) {
  const auto missing = limit_findings({"sphere_spacing", "flatness"}, limits(0.03));
  ASSERT_EQ(missing.size(), 1u);
  EXPECT_THAT(missing[0].text, HasSubstr("flatness error has no limit"));
  const auto positions = position_findings(
      {{ArtefactKind::bar, true, 10, 9, {"P07, far"}}, {ArtefactKind::plate, false, 6, 0, {}}}, 4);
  ASSERT_EQ(positions.size(), 1u);
  EXPECT_THAT(positions[0].text, HasSubstr("9 of 10 bar positions"));
  EXPECT_THAT(positions[0].text, HasSubstr("P07, far, about 4 minutes"));
  Rig rig;
  EXPECT_FALSE(mesh_finding(0, 0, rig));
  EXPECT_EQ(mesh_finding(3, 900, rig)->severity, Severity::warn);
  rig.export_kind = "mesh";
  EXPECT_EQ(mesh_finding(3, 900, rig)->severity, Severity::note);

  Session s;
  s.calibration = "board 12";
  s.rig.lens_locked = true;
  using namespace std::chrono;
  s.limits.date = Date{year(2026) / 3 / 2};
  const auto identity = identity_findings(s, false, Date{year(2026) / 3 / 1});
  EXPECT_TRUE(find(identity, "calibration-by-words"));
  EXPECT_TRUE(find(identity, "limits-after-scans"));
  EXPECT_FALSE(find(identity, "clock-odd"));
  const auto undated = identity_findings(s, false, std::nullopt);
  ASSERT_TRUE(find(undated, "clock-odd"));
  EXPECT_THAT(find(undated, "clock-odd")->text, HasSubstr("could be checked"));
  EXPECT_FALSE(find(identity, "lens-lock-unknown"));
}

}  // namespace
}  // namespace rigproof
