#include "diagnose/advice.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "diagnose/remedy.h"
#include "diagnose/separation.h"
#include "diagnose/trial.h"
#include "diagnose/virtual_session.h"

namespace rigproof {
namespace {

using testing::Contains;
using testing::Each;
using testing::HasSubstr;
using testing::SizeIs;

TEST(Advice, EveryFaultHasWordsForBothSignsAndAnAction) {
  for (const CalibrationFaultKind& kind : calibration_fault_kinds()) {
    const Remedy* r = find_remedy(kind.id);
    ASSERT_NE(r, nullptr) << kind.id;
    EXPECT_EQ(r->positive, kind.id == "local" ? "a dent away from the rig" : r->positive);
    EXPECT_NE(r->positive, r->negative) << kind.id;
    EXPECT_FALSE(r->action.empty()) << kind.id;
  }
  for (const char* id : {"scale",
                         "depth-scale",
                         "width-scale",
                         "shear-xz",
                         "shear-yz",
                         "shear-xy",
                         "bow-x",
                         "bow-y",
                         "twist",
                         "warm-up"})
    EXPECT_NE(find_remedy(id), nullptr) << id;
}

TEST(Advice, SaysTheSignOfAFaultInWords) {
  EXPECT_EQ(in_words({"board-temperature", "K", -4.12, 0.53, 0, 0, "", 0}),
            "the board was colder than believed by 4.12 ± 0.53 K");
  EXPECT_EQ(in_words({"local", "um", 31.4, 5.2, 0, 0, "far-top-left", 0}),
            "a dent away from the rig in zone far-top-left by 31.4 ± 5.2 µm");
}

TEST(Advice, ShowsTheBoardFirstWhereItWasShownLeast) {
  std::map<std::string, int> views;
  for (const std::string& id : all_zone_ids()) views[id] = 5;
  views["far-bottom-left"] = 0;
  views["near-top-right"] = 1;
  views["mid-middle-centre"] = 0;  // no corner: radial distortion does not show there
  const auto zones = zones_to_show("radial-both", views);
  ASSERT_THAT(zones, SizeIs(4));
  EXPECT_EQ(zones[0], "far-bottom-left");
  EXPECT_EQ(zones[1], "near-top-right");
  EXPECT_THAT(zones_to_show("baseline", views), SizeIs(0));
}

TEST(Advice, WhatSpoilsTheSessionComesFirst) {
  const TrialRig rig("R12");
  const Scenario s = trial_scenario("R12", {{"board-pitch", 400., ""}}, 3);
  const SessionSetup setup = prepare(s);
  DiagnosisInput in = observed_session(setup, 3);
  in.findings = {"hole", "warm-up"};
  const Diagnosis d = diagnose(in);
  ASSERT_FALSE(d.clean);
  ASSERT_GE(d.advice.size(), 3u);
  EXPECT_THAT(d.advice.front(), HasSubstr("Wait until the rig is warm"));
  EXPECT_THAT(d.advice[1], HasSubstr("calibration board"));
  EXPECT_THAT(d.advice[1], HasSubstr("largest length error"));
  EXPECT_THAT(d.advice, Contains(HasSubstr("finding hole")));
}

// Focal length shortens what lies near the rig by less than what lies far; a scale does not: bars
// near and far tell them apart, and the position found must show what the optics say.
TEST(Advice, TheTellingBarShowsADifferenceThatOpticsConfirm) {
  const Scenario s = trial_scenario("R12", {}, 5);
  const SessionSetup setup = prepare(s);
  const DiagnosisInput in = observed_session(setup, 5);
  const DiagnosisModel model(in);
  const TrialRig rig("R12");
  const Suspect radial{rig.index("radial-both"), 1.0}, scale{rig.index("baseline"), 100};
  const auto bar = telling_bar(model, in.observations.artefacts, radial, scale);
  ASSERT_TRUE(bar);
  EXPECT_GT(bar->difference, 2 * bar->u);
  EXPECT_THAT(all_zone_ids(), Contains(bar->zone));
  const auto none = telling_bar(model,
                                in.observations.artefacts,
                                {rig.index("baseline"), 100},
                                {rig.index("board-pitch"), 100});
  EXPECT_FALSE(none);
}

}  // namespace
}  // namespace rigproof
