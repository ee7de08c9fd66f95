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
/// One ball with its size judged by `rule`; what the session says at a limit: 0 within … 3 outside.
int badness(double value, double u, double u_fit, double limit, DecisionRule rule) {
  Results r;
  Artefact ball;
  ball.kind = ArtefactKind::ball;
  ball.serial = "ball";
  r.session.artefacts = {ball};
  r.session.limits.by_characteristic["probing_size"] = {limit, 0};
  r.session.limits.rule = rule;
  r.session.limits.guard_mm = 0.2;
  r.session.procedure.characteristics["probing_size"] = {};
  ScanPass pass = scan_of("scans/1.ply", "ball", 0);
  pass.values[0].id = "probing_size";
  pass.values[0].value = value;
  pass.values[0].signed_value = true;
  pass.values[0].u = u;
  pass.values[0].u_fit = u_fit;
  std::vector<ScanPass> passes{pass};
  r.scans.push_back(pass.record);
  judge_session(r, passes, {.joint = false});
  const CharacteristicResult* c = nullptr;
  for (const auto& one : r.characteristics)
    if (one.id == "probing_size") c = &one;
  if (!c || c->values.empty()) {
    EXPECT_EQ(r.scans[0].status, ScanStatus::rejected);
    return 2;
  }
  EXPECT_EQ(c->verdict == Verdict::outside, r.verdict == Verdict::outside);
  return c->verdict == Verdict::within ? 0 : c->verdict == Verdict::undecided ? 1 : 3;
}

// A depth camera's ball of 406 mm, 17.5 mm too small with u_fit 3.78 mm. By hand:
// 17.54 − 11 = 6.54 > 1.645 · 3.784 = 6.22, and 17.54 − 5 = 12.54.
TEST(Judging, OutsideIsSeenWhereTheFitIsPoor) {
  for (const double limit : {5.0, 10.0, 11.0, 12.0})
    EXPECT_EQ(badness(-17.5396, 0.05, 3.7836, limit, DecisionRule::proven), 3) << limit;
  // 7 − 3 = 4 is within chance of 1.645 · 3.784.
  EXPECT_EQ(badness(-7, 0.05, 3.7836, 3, DecisionRule::proven), 2);
}

// A form of 40 mm is outside of 10 beyond doubt; the size beside it is too uncertain to be judged.
TEST(Judging, AnUncertainValueBesideOneThatIsOutsideIsLeftOut) {
  Results r;
  Artefact ball;
  ball.kind = ArtefactKind::ball;
  ball.serial = "ball";
  r.session.artefacts = {ball};
  ScanPass pass = scan_of("scans/1.ply", "ball", 40);
  pass.values.push_back(pass.values[0]);
  pass.values[1].id = "probing_size";
  pass.values[1].value = -8;
  pass.values[1].u_fit = 4;
  for (const char* id : {"probing_form", "probing_size"}) {
    r.session.limits.by_characteristic[id] = {10, 0};
    r.session.procedure.characteristics[id] = {};
  }
  std::vector<ScanPass> passes{pass};
  r.scans.push_back(pass.record);
  judge_session(r, passes, {.joint = false});
  EXPECT_EQ(r.verdict, Verdict::outside);
  EXPECT_EQ(r.scans[0].status, ScanStatus::used);
  ASSERT_EQ(passes[0].values.size(), 1u);
  EXPECT_EQ(passes[0].values[0].id, "probing_form");
  const auto said = std::ranges::find(r.findings, "fit-uncertain", &Finding::id);
  ASSERT_NE(said, r.findings.end());
  EXPECT_EQ(said->severity, Severity::warn);
}

// Whoever is outside of a limit is outside of every smaller one.
TEST(Judging, TheVerdictIsMonotoneInTheLimit) {
  for (const DecisionRule rule :
       {DecisionRule::simple, DecisionRule::guarded, DecisionRule::proven})
    for (const double value : {0.1, -0.9, 1.0, 2.0, -3.01, 3.1, 3.4, 5.0, 17.5})
      for (const double u : {0.001, 0.05, 0.4, 2.0})
        for (const double u_fit : {0.01, 0.3, 1.0, 3.8}) {
          int worst = 3;
          for (double limit = 0.01; limit < 60; limit *= 1.04) {
            const int now = badness(value, u, u_fit, limit, rule);
            EXPECT_LE(now, worst) << value << " u " << u << " u_fit " << u_fit << " T " << limit;
            worst = now;
          }
          EXPECT_EQ(worst, 0);
        }
}

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
