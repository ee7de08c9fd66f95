#include "judge/session_verdict.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace rigproof {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::StartsWith;
constexpr Verdict in = Verdict::within, out = Verdict::outside, close = Verdict::undecided;

VerdictInput complete() {
  VerdictInput i;
  i.characteristics = {{"sphere_spacing", true, {in, in}},
                       {"probing_form", true, {in}},
                       {"probing_size", true, {in}},
                       {"flatness", true, {in}}};
  i.progress = {{ArtefactKind::ball, true, 1, 1, {}},
                {ArtefactKind::bar, true, 7, 7, {}},
                {ArtefactKind::plate, true, 6, 6, {}}};
  i.closing_needed = i.closing_done = true;
  i.minutes_per_scan = 2;
  return i;
}

Finding stop(Scope scope) {
  return {"x", Severity::stop, scope, "", "Scans 3 and 8 are one. · It matters. · Remove one."};
}

TEST(SessionVerdict, PrecedenceTable) {
  struct Case {
    bool session_stop, has_outside, incomplete, has_close;
    Verdict verdict;
  };
  for (int bits = 0; bits < 16; ++bits) {
    const Case c{(bits & 8) != 0,
                 (bits & 4) != 0,
                 (bits & 2) != 0,
                 (bits & 1) != 0,
                 bits & 8   ? Verdict::invalid
                 : bits & 4 ? out
                 : bits & 2 ? Verdict::invalid
                 : bits & 1 ? close
                            : in};
    VerdictInput i = complete();
    if (c.session_stop) i.findings.push_back(stop(Scope::session));
    i.findings.push_back(stop(Scope::scan));  // stops its scan only
    if (c.has_outside) i.characteristics[0].verdicts[1] = out;
    if (c.incomplete) i.progress[1].done = 5;
    if (c.has_close) i.characteristics[3].verdicts[0] = close;
    const SessionVerdict v = session_verdict(i);
    EXPECT_EQ(v.verdict, c.verdict) << bits;
    EXPECT_EQ(v.complete, !c.incomplete) << bits;
    EXPECT_FALSE(v.headline.empty());
    EXPECT_FALSE(v.next_step.empty());
  }
}

TEST(SessionVerdict, HeadlinesSayWhatTheyCover) {
  VerdictInput i = complete();
  EXPECT_EQ(session_verdict(i).headline, "WITHIN LIMITS: spacing, probing, flatness");
  i.characteristics[3].verdicts.clear();
  i.progress[2] = {ArtefactKind::plate, false, 6, 0, {}};
  SessionVerdict v = session_verdict(i);
  EXPECT_EQ(v.headline, "WITHIN LIMITS: spacing, probing; flatness not tested");
  EXPECT_THAT(v.not_tested, ElementsAre("flatness"));
  i.characteristics[0].verdicts = {in, out};
  EXPECT_EQ(session_verdict(i).headline, "OUTSIDE LIMITS: spacing; flatness not tested");
  i.progress[1].done = 6;
  EXPECT_THAT(session_verdict(i).headline, HasSubstr("1 position missing"));
  i = complete();
  i.characteristics[1].verdicts = {close};
  EXPECT_EQ(session_verdict(i).headline, "TOO CLOSE TO CALL: probing");
  EXPECT_THAT(session_verdict(i).next_step, HasSubstr("never the limit wider"));
}

TEST(SessionVerdict, IncompleteSaysExactlyWhatIsMissingAndHowLongItTakes) {
  VerdictInput i = complete();
  i.progress[1].done = 5;
  i.progress[1].missing = {"P06, far-top-left", "P07, far-top-right"};
  i.closing_done = false;
  const SessionVerdict v = session_verdict(i);
  EXPECT_EQ(v.headline, "NOT A VALID TEST: 2 positions missing, closing repeat missing");
  EXPECT_DOUBLE_EQ(v.minutes, 6);
  EXPECT_THAT(v.next_step, HasSubstr("2 bar positions (P06, far-top-left; P07, far-top-right)"));
  EXPECT_THAT(v.next_step, HasSubstr("about 6 minutes"));
}

// Seventeen scans in inches: declaring the unit comes first, a rejected one that was repeated or
// withdrawn asks for nothing.
TEST(SessionVerdict, WhatStoppedMostScansComesBeforeWhatIsMissing) {
  VerdictInput i = complete();
  i.progress[1].done = 5;
  const auto stopped = [](const char* id, const char* scan) {
    return Finding{
        id, Severity::stop, Scope::scan, scan, std::string("What. · Why. · Do it about ") + id};
  };
  i.findings = {stopped("one-ball", "scans/1.ply"),
                stopped("unit-mismatch", "scans/2.ply"),
                stopped("unit-mismatch", "scans/2.ply"),  // both balls of one scan
                stopped("unit-mismatch", "scans/3.ply"),
                {"x", Severity::warn, Scope::scan, "scans/4.ply", "A. · B. · C."}};
  EXPECT_EQ(session_verdict(i).next_step,
            "Do it about unit-mismatch. That stopped 2 of the scans; without them these are "
            "missing: 2 bar positions, about 4 minutes.");
  for (const char* scan : {"scans/2.ply", "scans/3.ply"})
    i.findings.push_back({"retest", Severity::note, Scope::session, scan, "A. · B. · C."});
  EXPECT_THAT(session_verdict(i).next_step, StartsWith("Do it about one-ball. That stopped 1 of"));
  i.findings.push_back({"withdrawn", Severity::note, Scope::scan, "scans/1.ply", "A. · B. · C."});
  EXPECT_EQ(session_verdict(i).next_step, "Scan 2 bar positions: about 4 minutes.");
}

TEST(SessionVerdict, OnlyJudgedKindsCanBeIncomplete) {
  VerdictInput i = complete();
  i.characteristics[3] = {"flatness", false, {}};
  i.progress[2].done = 1;
  EXPECT_EQ(session_verdict(i).verdict, in);
  // Without bars there is nothing to repeat at the end.
  i.characteristics[0] = {"sphere_spacing", true, {}};
  i.progress[1] = {ArtefactKind::bar, false, 7, 0, {}};
  i.closing_done = false;
  EXPECT_EQ(session_verdict(i).verdict, in);
}

TEST(SessionVerdict, AStopNamesItselfAndTheWayOut) {
  VerdictInput i = complete();
  i.findings = {stop(Scope::session)};
  const SessionVerdict v = session_verdict(i);
  EXPECT_EQ(v.headline, "NOT A VALID TEST: Scans 3 and 8 are one");
  EXPECT_EQ(v.next_step, "Remove one.");
}

TEST(SessionVerdict, WithoutLimitsThereAreValuesOnly) {
  VerdictInput i = complete();
  for (auto& c : i.characteristics) {
    c.limited = false;
    c.verdicts.clear();
  }
  const SessionVerdict v = session_verdict(i);
  EXPECT_EQ(v.verdict, Verdict::invalid);
  EXPECT_EQ(v.headline, "VALUES ONLY");
  EXPECT_TRUE(v.not_tested.empty());
}

TEST(SessionVerdict, NothingJudged) {
  VerdictInput i;
  i.characteristics = {{"sphere_spacing", true, {}}};
  const SessionVerdict v = session_verdict(i);
  EXPECT_EQ(v.verdict, Verdict::invalid);
  EXPECT_THAT(v.headline, StartsWith("NOT A VALID TEST: nothing judged"));
}

}  // namespace
}  // namespace rigproof
