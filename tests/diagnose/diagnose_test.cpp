#include "diagnose/diagnose.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "diagnose/plausible.h"
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

// A rig that measures wildly: whatever the ranking offers, nothing is named that no rig can have.
TEST(Diagnosis, NamesNoCauseOfImpossibleSize) {
  const Scenario s = trial_scenario("R12", {}, 5);
  const SessionSetup setup = prepare(s);
  DiagnosisInput in = observed_session(setup, 5);
  for (const double off : {3.0, 30.0, 300.0}) {
    DiagnosisInput wild = in;
    for (std::size_t i = 0; i < wild.observations.balls.size(); ++i)
      wild.observations.balls[i].sphere.center +=
          off * Vec3(std::sin(2.1 * i), std::cos(3.7 * i), std::sin(5.3 * i + 1));
    const Diagnosis d = diagnose(wild);
    ASSERT_TRUE(d.ran);
    EXPECT_FALSE(d.clean);
    for (const Cause& c : d.causes) {
      const double most = c.unit == "urad"  ? 10'000  // small angles
                          : c.unit == "ppm" ? 150'000
                          : c.unit == "um"  ? 20'000
                                            : 100;
      EXPECT_LE(std::abs(c.coefficient), most) << c.id;
    }
    if (d.causes.empty()) {
      EXPECT_FALSE(d.two_faults);
      EXPECT_THAT(d.advice, Contains(testing::HasSubstr("no cause of possible size")));
    }
  }
}

// A rig without known optics whose bar lies wrong by radians: the generic shear cannot mean that.
TEST(Plausible, BoundsAreThoseOfARig) {
  const Volume v = Volume::box(300, 200, 150, 600);  // diagonal 391 mm
  EXPECT_TRUE(is_possible({"shear-xz", "urad", 900}, v));
  EXPECT_FALSE(is_possible({"shear-xz", "urad", -6359882}, v));
  EXPECT_TRUE(is_possible({"scale", "ppm", -60'000}, v));
  EXPECT_FALSE(is_possible({"scale", "ppm", 400'000}, v));
  EXPECT_TRUE(is_possible({"local", "um", 2'000}, v));
  EXPECT_FALSE(is_possible({"local", "um", -20'000}, v));
}

// Cut tails make the noise look small, strays lift single places: neither is a dent of the field.
TEST(Plausible, AFindingThatExplainsTheValuesLeavesNoDent) {
  const Scenario s = trial_scenario("R12", {{"local", 200., "mid-middle-centre"}}, 5);
  const SessionSetup setup = prepare(s);
  DiagnosisInput in = observed_session(setup, 5);
  ASSERT_TRUE(cause(diagnose(in), "local"));
  for (const char* finding : {"tails-cut", "outliers-above-allowance", "too-perfect"}) {
    in.findings = {finding};
    EXPECT_FALSE(cause(diagnose(in), "local")) << finding;
  }
  const Scenario pitch = trial_scenario("R12", {{"board-pitch", 400., ""}}, 3);
  const SessionSetup other = prepare(pitch);
  in = observed_session(other, 3);
  in.findings = {"tails-cut"};  // what the calibration does stays named
  EXPECT_TRUE(cause(diagnose(in), "board-pitch"));
  in.findings = {"same-measurement"};
  EXPECT_TRUE(diagnose(in).causes.empty());
}

}  // namespace
}  // namespace rigproof
