#include "judge/decision.h"

#include <gtest/gtest.h>

#include "base/error.h"
#include "evaluate/distribution.h"
#include "evaluate/random.h"
#include "judge/joint.h"

namespace rigproof {
namespace {

TestValue value(double e, double u, bool is_signed = true) {
  TestValue v;
  v.value = e;
  v.u = u;
  v.signed_value = is_signed;
  v.budget = {{"u", u, {}, "", 1, LineShape::normal}};
  return v;
}

Decision by(DecisionRule rule,
            const TestValue& v,
            double limit,
            double guard_mm = 0,
            double probability = 0.95) {
  Limits limits;
  limits.rule = rule;
  limits.guard_mm = guard_mm;
  Procedure procedure;
  procedure.proven_probability = probability;
  return decide(v, limit, limits, procedure);
}

TEST(Decision, ProvenExamples) {
  // T 0.030, U 0.004 (k 2); closed forms of the normal distribution.
  const std::vector<std::tuple<double, double, Verdict>> cases{
      {0.0265, 0.959941, Verdict::within},
      {0.0280, 0.841345, Verdict::undecided},
      {0.0310, 0.308538, Verdict::undecided},
      {0.0350, 0.006210, Verdict::outside}};
  for (const auto& [e, p, verdict] : cases)
    for (const double sign : {1.0, -1.0}) {
      const Decision d = by(DecisionRule::proven, value(sign * e, 0.002), 0.030);
      EXPECT_NEAR(d.p_within, p, 5e-7);
      EXPECT_EQ(d.verdict, verdict);
      EXPECT_DOUBLE_EQ(d.ratio, e / 0.030);
    }
}

// The standard normal quantiles of 0.95 and others, from their table (NIST/SEMATECH e-Handbook of
// Statistical Methods, 1.3.6.7.1).
TEST(Decision, ProvenIsTheGuardBandOfItsProbability) {
  const double u = 1e-4, T = 0.030;
  EXPECT_EQ(Procedure{}.proven_probability, 0.95);
  for (const auto& [probability, z] : std::vector<std::pair<double, double>>{
           {0.8, 0.841621}, {0.9, 1.281552}, {0.95, 1.644854}, {0.975, 1.959964}, {0.99, 2.326348}})
    for (const double sign : {1.0, -1.0}) {
      const auto at = [&](double e) {
        return by(DecisionRule::proven, value(sign * e, u), T, 0, probability).verdict;
      };
      EXPECT_NEAR(z, normal_quantile(probability), 1e-6);
      EXPECT_EQ(at(T - (z + 1e-4) * u), Verdict::within) << probability;
      EXPECT_EQ(at(T - (z - 1e-4) * u), Verdict::undecided) << probability;
      EXPECT_EQ(at(T + (z - 1e-4) * u), Verdict::undecided) << probability;
      EXPECT_EQ(at(T + (z + 1e-4) * u), Verdict::outside) << probability;
    }
}

TEST(Decision, SimpleAndGuardedCompareUnrounded) {
  const double T = 0.030, w = 0.004, e = 1e-12;
  const auto at = [&](double x, DecisionRule rule) {
    return by(rule, value(x, 0.002), T, w).verdict;
  };
  EXPECT_EQ(at(T, DecisionRule::simple), Verdict::within);
  EXPECT_EQ(at(-T, DecisionRule::simple), Verdict::within);
  EXPECT_EQ(at(T + e, DecisionRule::simple), Verdict::outside);
  EXPECT_EQ(at(T - w - e, DecisionRule::guarded), Verdict::within);
  EXPECT_EQ(at(T - w + e, DecisionRule::guarded), Verdict::undecided);
  EXPECT_EQ(at(T + w - e, DecisionRule::guarded), Verdict::undecided);
  EXPECT_EQ(at(-(T + w + e), DecisionRule::guarded), Verdict::outside);
}

TEST(Decision, WithoutUncertaintyTheProbabilityIsCertain) {
  EXPECT_EQ(probability_within(0.03, 0.03, 0, true, {}), 1);
  EXPECT_EQ(probability_within(-0.0301, 0.03, 0, true, {}), 0);
}

TEST(Decision, FiniteDegreesOfFreedomAreStudentT) {
  // P(T > 1) of Student t with one degree of freedom is 1/4 (a Cauchy distribution).
  EXPECT_NEAR(probability_within(1, 2, 1, false, 1.0), 0.75, 1e-12);
  EXPECT_NEAR(probability_within(0, 1, 1, true, 1.0), 0.5, 1e-12);
  EXPECT_NEAR(probability_within(1, 2, 1, false, 1e7), normal_cdf(1), 1e-7);
}

TEST(Decision, IsMonotoneInTheLimit) {
  const auto rank = [](Verdict v) {
    return v == Verdict::outside ? 0 : v == Verdict::undecided ? 1 : 2;
  };
  Random random(1, 0);
  for (int k = 0; k < 300; ++k) {
    TestValue v = value(0.1 * random.normal(), 0.03 * random.uniform(), random.uniform() < 0.5);
    if (!v.signed_value) v.value = std::abs(v.value);
    if (random.uniform() < 0.5) v.dof = 1 + std::floor(20 * random.uniform());
    for (const DecisionRule rule :
         {DecisionRule::simple, DecisionRule::proven, DecisionRule::guarded}) {
      int before = 0;
      double p = 0;
      for (double limit = 0.005; limit < 0.6; limit *= 1.1) {
        const Decision d = by(rule, v, limit, 0.01);
        EXPECT_GE(rank(d.verdict), before);
        EXPECT_GE(d.p_within, p - 1e-14);
        before = rank(d.verdict);
        p = d.p_within;
      }
    }
  }
}

TEST(Decision, RefusesALimitThatIsNone) {
  for (const double limit : {0.0, -1.0, std::nan(""), 1 / 0.0})
    EXPECT_THROW(by(DecisionRule::proven, value(0, 1), limit), Error);
  EXPECT_THROW(by(DecisionRule::guarded, value(0, 1), 1, -1), Error);
  for (const double probability : {0.5, 1.0, 0.0, std::nan("")})
    EXPECT_THROW(by(DecisionRule::proven, value(0, 1), 1, 0, probability), Error);
}

TEST(Joint, TwentyThreeValuesAtNinetyFivePercent) {
  // Independent: 0.95²³ = 0.3074. Correlated by 0.8: 0.80 (method, section 6).
  const double z = normal_quantile(0.95);
  std::vector<TestValue> alone(23), shared(23);
  for (int i = 0; i < 23; ++i) {
    alone[i] = value(1 - z, 1, false);
    shared[i] = value(1 - z, 1, false);
    shared[i].budget = {{"common", std::sqrt(0.8), {}, "t", 1, LineShape::normal},
                        {"own", std::sqrt(0.2), {}, "", 1, LineShape::normal}};
  }
  std::vector<LimitedValue> a, s;
  for (int i = 0; i < 23; ++i) {
    a.push_back({&alone[i], 1});
    s.push_back({&shared[i], 1});
  }
  EXPECT_NEAR(joint_probability(a), std::pow(0.95, 23), 0.01);
  EXPECT_NEAR(joint_probability(s), 0.80, 0.015);
  EXPECT_NEAR(joint_probability({a.front()}), 0.95, 0.005);
  EXPECT_EQ(joint_probability({}), 1);
  EXPECT_EQ(joint_probability(s), joint_probability(s, {50'000, 1, 1}));
}

TEST(Joint, OneValueAgreesWithTheClosedForm) {
  TestValue v = value(0.0265, 0.002);
  EXPECT_NEAR(joint_probability({{&v, 0.030}}, {200'000, 2, 0}), 0.959941, 0.002);
}

}  // namespace
}  // namespace rigproof
