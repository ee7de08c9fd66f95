#include "judge/evidence_gates.h"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "judge/artefact_match.h"
#include "judge/places.h"
#include "judge/session_gates.h"

namespace rigproof {
namespace {

TestValue value(const char* id, double off, double u_fit, double u = 0.0004) {
  TestValue v;
  v.id = id;
  v.artefact = "K-1";
  v.ball = "A";
  v.value = off;
  v.u_fit = u_fit;
  v.u = u;
  return v;
}

std::vector<const TestValue*> pointers(const std::vector<TestValue>& values) {
  std::vector<const TestValue*> out;
  for (const TestValue& v : values) out.push_back(&v);
  return out;
}

Limits limits() {
  Limits l;
  l.by_characteristic["probing_size"] = {0.02, 0};
  l.by_characteristic["sphere_spacing"] = {0.03, 0};
  return l;
}

std::vector<TestValue> session(double size, double length) {
  std::vector<TestValue> out;
  for (int i = 0; i < 10; ++i) out.push_back(value("probing_size", size + 0.0002 * (i % 3), 0.001));
  for (int i = 0; i < 5; ++i) out.push_back(value("sphere_spacing", length, 0.001));
  return out;
}

TEST(SurfaceBias, WantsSizesOffAndLengthsRight) {
  const auto said = [](double size, double length) {
    const auto values = session(size, length);
    return surface_bias_finding(pointers(values), limits());
  };
  EXPECT_TRUE(said(-0.008, 0.001));
  EXPECT_NE(said(-0.008, 0.001)->text.find("too small"), std::string::npos);
  EXPECT_FALSE(said(-0.008, 0.02));  // the lengths are off more: the rig's scale
  EXPECT_FALSE(said(-0.0015, 0.0));  // less than a tenth of the limit
  EXPECT_FALSE(said(0.0001, 0.0));
}

NamedPlace named(const Volume& v, const char* as, const Vec3& normalised, int hand = 1) {
  return {std::string("scans/") + as, as, v.from_normalized(normalised), hand};
}

TEST(Places, OneSlipIsNoMirror) {
  const Volume v = Volume::box(300, 200, 150, 600);
  const auto ids = [&](const std::vector<NamedPlace>& places) {
    std::vector<std::string> out;
    for (const Finding& f : place_findings(places, v)) out.push_back(f.id);
    return out;
  };
  const auto right = named(v, "near-top-right", {0.7, -0.7, -0.7});
  const auto slip = named(v, "near-top-right", {-0.7, -0.7, -0.7});
  const auto left = named(v, "far-bottom-left", {0.7, 0.7, 0.7});
  EXPECT_TRUE(ids({right}).empty());
  EXPECT_EQ(ids({right, slip}), std::vector<std::string>{"place-relabelled"});
  EXPECT_EQ(ids({slip}), std::vector<std::string>{"place-relabelled"});
  EXPECT_EQ(ids({slip, left}), std::vector<std::string>{"mirrored"});
  EXPECT_EQ(ids({named(v, "near-top-right", {-0.7, -0.7, -0.7}, -1)}),
            std::vector<std::string>{"mirrored"});
  // Upside down is no mirror, and words are no zone.
  EXPECT_EQ(ids({named(v, "near-top-left", {-0.7, 0.7, -0.7})}),
            std::vector<std::string>{"place-relabelled"});
  EXPECT_TRUE(ids({named(v, "on the fixture", {0, 0, 0})}).empty());
  // Within a twentieth of the border both zones are right.
  EXPECT_TRUE(ids({named(v, "near-top-right", {0.3, -0.7, -0.7})}).empty());
}

PlacedArtefact bar(double length, double lean_deg) {
  PlacedArtefact p;
  const double a = lean_deg * 3.14159265358979 / 180;
  const Vec3 d(length * std::cos(a), 0, length * std::sin(a));
  p.touches = {Vec3(0, 0, 600) - 0.5 * d, Vec3(0, 0, 600) + 0.5 * d};
  p.ball_radius = 10;
  return p;
}

std::vector<Finding> holder_findings(std::size_t strays, double holder_deg, bool found) {
  ScanEvidence scan;
  scan.scan = "scans/a.ply";
  FeatureEvidence f;
  f.ball = "A";
  f.points = 20000;
  f.strays = strays;
  f.holder_deg = holder_deg;
  f.holder_found = found;
  scan.features = {f};
  std::vector<Finding> out = evidence_findings(scan, {});
  std::erase_if(out, [](const Finding& finding) { return finding.id != "holder-cut"; });
  return out;
}

// docs/method.md, points that count: what leaves the zone is stated, however few points it is.
TEST(HolderCut, IsSaidOfEveryConeThatWasLeftOut) {
  for (const std::size_t strays : {8u, 50u, 100u, 101u, 5000u}) {
    const auto said = holder_findings(strays, 24.2, true);
    ASSERT_EQ(said.size(), 1u) << strays;
    EXPECT_EQ(said[0].scan, "scans/a.ply");
    EXPECT_NE(said[0].text.find(std::to_string(strays) + " points near ball A"), std::string::npos);
    EXPECT_NE(said[0].text.find("as a holder would; cone left out: 24°, found. · "),
              std::string::npos)
        << said[0].text;
  }
}

// Where nothing is registered a ball has no name.
TEST(ScanEvidence, ABallWithoutANameIsTheBall) {
  ScanEvidence scan;
  FeatureEvidence f;
  f.points = 20000;
  f.strays = 500;
  f.hole.emplace();
  f.hole->width_deg = 9;
  scan.features = {f};
  const std::vector<Finding> out = evidence_findings(scan, {});
  ASSERT_EQ(out.size(), 2u);
  EXPECT_TRUE(out[0].text.starts_with("A 9° hole in the seen side of the ball.")) << out[0].text;
  EXPECT_TRUE(out[1].text.starts_with("500 points near the ball lie off")) << out[1].text;
}

TEST(HolderCut, TellsOfManyStraysWithoutOne) {
  EXPECT_TRUE(holder_findings(100, 0, false).empty());  // 0.5 % of the points
  ASSERT_EQ(holder_findings(101, 0, false).size(), 1u);
  EXPECT_NE(holder_findings(101, 0, false)[0].text.find("cone left out: none found."),
            std::string::npos);
  EXPECT_TRUE(holder_findings(20, 15, false).empty());  // the artefact's file states that cone
  ASSERT_EQ(holder_findings(500, 15, false).size(), 1u);
  EXPECT_NE(holder_findings(500, 15, false)[0].text.find("cone left out: 15°, declared."),
            std::string::npos);
}

// A pixel of a camera at distance d from a surface that faces it spans d/f, here 0.177 mm.
TEST(Thinned, IsSeenOfARigThatExportsEveryPixel) {
  const auto said = [](double pitch_px, double spacing) {
    Rig rig;
    Stereo stereo;
    stereo.baseline_mm = 300;
    stereo.focal_px = 3500;
    rig.stereo = stereo;
    rig.noise = NoiseReference{0.003, 25, pitch_px, {}, 0, ""};
    ScanEvidence scan;
    FeatureEvidence f;
    f.center = Vec3(0, 0, 600);
    f.points = 20000;
    f.spacing = spacing;
    scan.features = {f};
    SessionEvidence session;
    session.scans = {&scan};
    session.rig = &rig;
    const Limits none;
    session.limits = &none;
    const auto all = processing_findings(session);
    return std::ranges::find(all, "thinned", &Finding::id) != all.end();
  };
  const double pixel = std::hypot(600.0, 150.0) / 3500;
  EXPECT_FALSE(said(1, pixel));
  EXPECT_TRUE(said(1, 2 * pixel));  // every other point in each direction: must be found
  EXPECT_FALSE(said(2, 2 * pixel));
  EXPECT_TRUE(said(2, 4 * pixel));
  EXPECT_FALSE(said(0, 4 * pixel));  // not stated: nothing to compare with
}

TEST(Directions, DepthIsTestedByLeaningBars) {
  const Volume v = Volume::box(300, 200, 150, 600);
  EXPECT_FALSE(direction_missing({bar(250, 0), bar(250, 35)}, v, 0.03));
  const auto said = direction_missing({bar(250, 0), bar(250, 10)}, v, 0.03);
  ASSERT_TRUE(said);
  // 30 µm over 250 mm · sin² 10° = 7.54 mm of sensitivity.
  EXPECT_NE(said->text.find("3980 ppm"), std::string::npos) << said->text;
  EXPECT_NE(said->text.find("10°"), std::string::npos) << said->text;
  EXPECT_FALSE(direction_missing({}, v, 0.03));
}

Artefact bar_of(const char* serial, double length) {
  Artefact a;
  a.kind = ArtefactKind::bar;
  a.serial = serial;
  a.distances = {{"A", "B", {length, 0.001}}};
  return a;
}

TEST(WrongArtefact, IsSaidWhenAnotherFitsBetter) {
  const std::vector<Artefact> shelf{bar_of("K-1", 250), bar_of("K-2", 250.2)};
  const auto said = [&](double off) {
    return wrong_artefact(shelf[0], {value("sphere_spacing", off, 0.002)}, shelf, "scans/a.ply");
  };
  EXPECT_TRUE(said(0.198));
  EXPECT_FALSE(said(0.05));  // the other fits worse
  EXPECT_FALSE(said(0.0));
  EXPECT_FALSE(said(-0.2));  // nothing else is that short: the rig is off
  EXPECT_FALSE(wrong_artefact(
      shelf[0], {value("sphere_spacing", 0.198, 0.03)}, shelf, "scans/a.ply"));  // too uncertain
}

// A bar whose length is right with balls of 34.2 mm where its file says 30: another bar, or a slip.
TEST(WrongArtefact, IsSaidOfABarWithOtherBalls) {
  const auto said = [](double ball, double length, double u_fit) {
    TestValue size = value("probing_size", ball - 30, u_fit);
    size.reference = 30;
    size.measured = ball;
    TestValue spacing = value("sphere_spacing", length - 250, 0.002);
    spacing.reference = 250;
    spacing.measured = length;
    return wrong_ball(bar_of("K-1", 250), {size, spacing}, "scans/a.ply");
  };
  const auto other = said(34.2, 250, 0.003);
  ASSERT_TRUE(other);
  EXPECT_EQ(other->id, "wrong-artefact");
  EXPECT_TRUE(
      other->text.starts_with("Ball A of K-1 should be 30.000 mm; the scan measures "
                              "34.200 mm and the lengths of K-1 are right."))
      << other->text;
  EXPECT_TRUE(said(29.3, 250, 0.003));
  EXPECT_FALSE(said(30.5, 250, 0.003));  // 1.7 %: a surface may do that
  EXPECT_FALSE(said(34.2, 250, 0.5));    // too uncertain
  EXPECT_FALSE(said(34.2, 285, 0.003));  // everything is 14 % too large: the rig is off
}

TEST(TemperatureJump, IsMoreThanOneKelvinAnHour) {
  EXPECT_FALSE(temperature_jump({{9, 20, "9:00"}, {10, 20.9, "10:00"}, {11, 21.7, "11:00"}}));
  const auto said = temperature_jump({{9, 20, "9:00"}, {9.5, 20.2, "9:30"}, {10, 21, "10:00"}});
  ASSERT_TRUE(said);
  EXPECT_NE(said->text.find("1.6 K/h at 9:30"), std::string::npos) << said->text;
}

TEST(ChangedSince, RuleAndCalibration) {
  EarlierRun run{"proven", "aa", 15, "out/results.json"};
  EXPECT_TRUE(changed_since(run, DecisionRule::proven, "aa").empty());
  EXPECT_EQ(changed_since(run, DecisionRule::simple, "aa").at(0).id, "rule-after-scans");
  EXPECT_EQ(changed_since(run, DecisionRule::proven, "bb").at(0).id, "calibration-changed");
  EXPECT_TRUE(changed_since({}, DecisionRule::proven, "bb").empty());
}

TEST(SamePerson, IsTheSameName) {
  EXPECT_TRUE(same_person("A. Tester", "A. Tester"));
  EXPECT_FALSE(same_person("A. Tester", "B. Signer"));
  EXPECT_FALSE(same_person("", ""));
}

TEST(Support, OtherThanCertified) {
  Artefact a = bar_of("K-1", 250);
  a.support = "Airy points";
  Environment e;
  EXPECT_TRUE(support_findings(e, {a}).empty());
  e.support["K-1"] = "Airy points";
  EXPECT_TRUE(support_findings(e, {a}).empty());
  e.support["K-1"] = "a table";
  EXPECT_EQ(support_findings(e, {a}).size(), 1u);
}

}  // namespace
}  // namespace rigproof
