// The session pass on made values: what is judged and what is information.
#include "assess/judging.h"

#include <algorithm>

#include <gtest/gtest.h>

namespace rigproof {
namespace {

ScanPass scan_of(const std::string& file, const std::string& serial, double form) {
  ScanPass pass;
  pass.record.file = file;
  pass.record.artefact = serial;
  TestValue v;
  v.id = "probing_form";
  v.scan = file;
  v.artefact = serial;
  v.ball = "A";
  v.value = v.measured = form;
  v.signed_value = false;
  v.u = 0.0001;
  v.points = 10000;
  pass.values = {v};
  return pass;
}

Results judged(bool bar_balls_are_positions) {
  Results r;
  Artefact ball, bar;
  ball.kind = ArtefactKind::ball;
  ball.serial = "ball";
  bar.serial = "bar";
  r.session.artefacts = {ball, bar};
  r.session.limits.by_characteristic["probing_form"] = {0.030, 0};
  r.session.procedure.bar_balls_are_positions = bar_balls_are_positions;
  r.session.procedure.characteristics["probing_form"] = {};
  std::vector<ScanPass> passes{scan_of("scans/1.ply", "bar", 0.050),
                               scan_of("scans/2.ply", "ball", 0.010)};
  for (const ScanPass& p : passes) r.scans.push_back(p.record);
  judge_session(r, passes);
  return r;
}

const CharacteristicResult& form(const Results& r) {
  for (const auto& c : r.characteristics)
    if (c.id == "probing_form") return c;
  throw std::runtime_error("no probing_form");
}

// Method, section 2: a bar's balls give PF for information, or as positions where the procedure
// says so.
TEST(Judging, BallsOfABarAreInformationUnlessTheProcedureSaysSo) {
  const Results information = judged(false);
  const CharacteristicResult& c = form(information);
  ASSERT_EQ(c.values.size(), 2u);
  EXPECT_FALSE(c.values[0].decision);
  ASSERT_TRUE(c.values[1].decision);
  EXPECT_EQ(c.verdict, Verdict::within);
  EXPECT_EQ(c.worst, 1) << "the larger value of the bar is no test value";
  EXPECT_NEAR(information.p_all_within, 1, 1e-9);

  const Results positions = judged(true);
  EXPECT_EQ(form(positions).verdict, Verdict::outside);
  EXPECT_EQ(form(positions).worst, 0);
}

// A session of one ball with one limit, before it is judged.
Results one_ball(double limit) {
  Results r;
  Artefact ball;
  ball.kind = ArtefactKind::ball;
  ball.serial = "ball";
  r.session.artefacts = {ball};
  r.session.limits.by_characteristic["probing_form"] = {limit, 0};
  r.session.procedure.characteristics["probing_form"] = {};
  return r;
}

// e = T − 1.5 u: p = Φ(1.5) = 0.933193 (normal distribution), between 0.9 and 0.95.
TEST(Judging, AnotherProbabilityOfTheProcedureDecidesOtherwise) {
  for (const auto& [probability, verdict] :
       {std::pair{0.9, Verdict::within}, {0.95, Verdict::undecided}}) {
    Results r = one_ball(0.030);
    r.session.procedure.proven_probability = probability;
    std::vector<ScanPass> passes{scan_of("scans/1.ply", "ball", 0.030 - 1.5 * 0.0001)};
    r.scans = {passes[0].record};
    judge_session(r, passes);
    ASSERT_TRUE(form(r).values[0].decision);
    EXPECT_NEAR(form(r).values[0].decision->p_within, 0.933193, 5e-7);
    EXPECT_EQ(form(r).verdict, verdict) << probability;
  }
}

// U = 2·0.0006 against a third of 0.003: the budget alone says so, whether the joint run is made.
TEST(Judging, IgnoredUncertaintyIsSaidWithoutTheJointRunToo) {
  for (const bool joint : {true, false}) {
    Results r = one_ball(0.003);
    r.session.limits.rule = DecisionRule::simple;
    std::vector<ScanPass> passes{scan_of("scans/1.ply", "ball", 0.001)};
    passes[0].values[0].u = 0.0006;
    passes[0].values[0].U = 0.0012;
    r.scans = {passes[0].record};
    JudgingOptions options;
    options.joint = joint;
    judge_session(r, passes, options);
    EXPECT_NE(std::ranges::find(r.findings, "uncertainty-ignored", &Finding::id), r.findings.end())
        << joint;
  }
}

}  // namespace
}  // namespace rigproof
