#include "diagnose/diagnose.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "diagnose/trial.h"
#include "diagnose/virtual_session.h"

namespace rigproof {
namespace {

using testing::Contains;
using testing::Field;

const TrialRig& rig(const std::string& name) {
  static std::map<std::string, TrialRig> rigs;
  return rigs.try_emplace(name, name).first->second;
}

double cosine(const std::string& a, const std::string& b) {
  const TrialRig& r = rig("R12");
  return std::abs(r.geometry.cosine(r.index(a), r.index(b)));
}

const Cause* cause(const Diagnosis& d, const std::string& id) {
  const auto at = std::ranges::find(d.causes, id, &Cause::id);
  return at == d.causes.end() ? nullptr : &*at;
}

// What cannot be told apart, and the chain of what nearly cannot (method, section 9).
TEST(Signatures, AreAsAlikeAsTheMethodSays) {
  EXPECT_GT(cosine("board-pitch", "board-temperature"), 1 - 1e-9);
  EXPECT_GT(cosine("board-pitch", "baseline"), 1 - 1e-9);
  EXPECT_GT(cosine("focal-both", "baseline"), 0.95);
  EXPECT_GT(cosine("toe-in", "principal-x-right"), 0.95);
  EXPECT_GT(cosine("principal-x-left", "principal-x-right"), 0.95);
  EXPECT_LT(cosine("radial-both", "baseline"), 0.5);
  EXPECT_LT(cosine("focal-left", "focal-right"), 0.9);  // half of each is what both do
}

// The exact optics of the faulty rig, with the distortion that the diagnosis does not know, against
// its first-order signatures.
TEST(Diagnosis, AFaultWithoutNoiseGivesItsCoefficient) {
  for (const CalibrationFaultKind& kind : calibration_fault_kinds()) {
    const std::string zone = kind.id == "local" ? "mid-middle-centre" : "";
    const int i = rig("R12").index(std::string(kind.id), zone);
    ASSERT_GE(i, 0) << kind.id;
    const double value = 3 * rig("R12").detection(i);
    Scenario s = trial_scenario("R12", {{std::string(kind.id), value, zone}}, 2);
    s.ideal_artefacts = true;
    const SessionSetup setup = prepare(s);
    const Diagnosis d = diagnose(observed_session(setup, std::nullopt));
    const auto found = std::ranges::find_if(
        d.causes, [&](const Cause& c) { return c.id == kind.id && c.zone == zone; });
    ASSERT_NE(found, d.causes.end()) << kind.id;
    // Within a third of the uncertainty that noise would have brought.
    EXPECT_NEAR(found->coefficient, value, found->u / 3) << kind.id;
    EXPECT_FALSE(d.two_faults) << kind.id;
  }
}

TEST(Diagnosis, NothingIsNamedWhereNothingIsWrong) {
  Scenario s = trial_scenario("R12", {}, 2);
  s.ideal_artefacts = true;
  const Diagnosis d = diagnose(observed_session(prepare(s), std::nullopt));
  EXPECT_TRUE(d.ran);
  EXPECT_TRUE(d.clean);
  EXPECT_TRUE(d.causes.empty());
  EXPECT_THAT(d.detection_limits, Contains(Field(&DetectionLimit::id, "toe-in")));
}

TEST(Diagnosis, TheDefaultOfEveryCalibrationFaultIsFoundOnThreeRigs) {
  for (const std::string& name : trial_rigs())
    for (const CalibrationFaultKind& kind : calibration_fault_kinds()) {
      const Scenario s =
          trial_scenario(name, {{std::string(kind.id), std::nullopt, ""}}, 7, "half-hour");
      const Diagnosis d = diagnose(observed_session(prepare(s), 7));
      EXPECT_NE(cause(d, std::string(kind.id)), nullptr) << kind.id << " on " << name;
    }
}

TEST(Diagnosis, TwoSeparableFaultsAreBothNamed) {
  const auto limit = [&](const char* id) { return rig("R12").detection(rig("R12").index(id)); };
  const Diagnosis d = diagnose_trial(rig("R12"),
                                     {{"board-pitch", 3 * limit("board-pitch"), ""},
                                      {"radial-left", 3 * limit("radial-left"), ""}},
                                     11);
  EXPECT_TRUE(d.two_faults);
  EXPECT_NE(cause(d, "board-pitch"), nullptr);
  EXPECT_NE(cause(d, "radial-left"), nullptr);
}

TEST(Diagnosis, WithoutStereoGeometryErrorsAreDescribedByALowOrderField) {
  Scenario s = trial_scenario("R12", {{"board-pitch", 400., ""}}, 4);
  const SessionSetup setup = prepare(s);
  DiagnosisInput in = observed_session(setup, 4);
  Rig blind = *in.rig;
  blind.stereo.reset();
  in.rig = &blind;
  const Diagnosis d = diagnose(in);
  EXPECT_EQ(d.geometry, "generic");
  ASSERT_FALSE(d.causes.empty());
  EXPECT_EQ(d.causes.front().id, "scale");
  // A baseline believed 400 ppm too long makes every length 400 ppm too long.
  EXPECT_NEAR(d.causes.front().coefficient, 400, 3 * d.causes.front().u);
  EXPECT_THAT(d.advice, Contains(testing::HasSubstr("stereo geometry")));
}

TEST(Diagnosis, ATapeMeasureServesForTheGeometry) {
  Scenario s = trial_scenario("R12", {{"radial-both", std::nullopt, ""}}, 4);
  const SessionSetup setup = prepare(s);
  DiagnosisInput in = observed_session(setup, 4);
  Rig taped = *in.rig;
  taped.stereo->tape = true;
  taped.stereo->baseline_mm *= 1.015;
  taped.stereo->focal_px *= 0.97;
  in.rig = &taped;
  const Diagnosis d = diagnose(in);
  EXPECT_EQ(d.geometry, "tape");
  EXPECT_NE(cause(d, "radial-both"), nullptr);
}

TEST(Diagnosis, NeedsSomethingToDiagnose) {
  const Diagnosis d = diagnose({});
  EXPECT_FALSE(d.ran);
  EXPECT_TRUE(d.advice.empty());
}

// A small fixed sample of the statistics in docs/diagnosis.md.
TEST(Diagnosis, NamesPlantedFaultsOfThreeTimesTheirLimit) {
  int in_set = 0, sessions = 0;
  for (const char* id :
       {"baseline", "focal-left", "toe-in", "principal-x-right", "roll", "radial-both"}) {
    const TrialRig& r = rig("R12");
    for (const double sign : {-1.0, 1.0}) {
      const Trial t = run_trial(r, {id, sign * 3 * r.detection(r.index(id)), ""}, 100 + sessions);
      ++sessions;
      in_set += t.in_set;
    }
  }
  EXPECT_EQ(in_set, sessions);
}

}  // namespace
}  // namespace rigproof
