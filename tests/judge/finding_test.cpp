#include "judge/finding.h"

#include <algorithm>
#include <set>

#include <gtest/gtest.h>

#include "base/error.h"

namespace rigproof {
namespace {

std::map<std::string, std::string> filled(const FindingKind& kind) {
  std::map<std::string, std::string> values;
  for (const std::string& name : names_in(kind.text)) values[name] = "<" + name + ">";
  return values;
}

TEST(Findings, EveryRowRendersInThreeParts) {
  std::set<std::string_view> ids;
  for (const FindingKind& kind : finding_table()) {
    SCOPED_TRACE(std::string(kind.id));
    EXPECT_TRUE(ids.insert(kind.id).second);
    const Finding f = make_finding(kind.id, filled(kind), "scans/a.ply");
    EXPECT_EQ(f.severity, kind.severity);
    EXPECT_EQ(f.scope, kind.scope);
    EXPECT_EQ(f.scan, "scans/a.ply");
    EXPECT_EQ(f.text.find_first_of("{}"), std::string::npos) << f.text;
    std::size_t parts = 1;
    for (std::size_t at = f.text.find(" · "); at != std::string::npos;
         at = f.text.find(" · ", at + 1))
      ++parts;
    EXPECT_EQ(parts, 3u) << f.text;
    EXPECT_EQ(f.text.find("  "), std::string::npos) << f.text;
    for (const std::string& name : names_in(kind.text))
      EXPECT_NE(f.text.find("<" + name + ">"), std::string::npos);
    if (kind.other) {
      EXPECT_NE(*kind.other, kind.severity);
    }
  }
}

TEST(Findings, HasEveryRowOfTheDesign) {
  for (const char* id : {"rig-mismatch",
                         "calibration-changed",
                         "calibration-by-words",
                         "lens-lock-unknown",
                         "same-person",
                         "wrong-artefact",
                         "artefact-overdue",
                         "artefact-weak",
                         "artefact-bump",
                         "surface-bias",
                         "coated",
                         "size-unsuited",
                         "balls-swapped",
                         "wrong-support",
                         "warm-up",
                         "not-soaked",
                         "temperature-corrected",
                         "temperature-missing",
                         "temperature-jump",
                         "vibration",
                         "unit-mismatch",
                         "points-dropped",
                         "truncated",
                         "unreadable",
                         "is-mesh",
                         "coarse-coordinates",
                         "mirrored",
                         "still-growing",
                         "far-origin",
                         "short-cap",
                         "holder-cut",
                         "one-ball",
                         "too-few-points",
                         "hole",
                         "strip-plate",
                         "giant-sphere",
                         "ambiguous",
                         "nothing-found",
                         "smoothed",
                         "thinned",
                         "tails-cut",
                         "too-perfect",
                         "scaled",
                         "two-shells",
                         "duplicate-points",
                         "outliers-above-allowance",
                         "ripple",
                         "noise-uneven",
                         "outside-volume",
                         "position-missing",
                         "clustered",
                         "direction-missing",
                         "same-measurement",
                         "place-relabelled",
                         "limit-missing",
                         "limits-after-scans",
                         "rule-after-scans",
                         "one-scan-drives",
                         "retest",
                         "withdrawn",
                         "scan-edited",
                         "certificate-edited",
                         "unknown-signer",
                         "raw-missing",
                         "other-version",
                         "clock-odd"})
    EXPECT_NO_THROW(finding_kind(id)) << id;
}

TEST(Findings, StopsThatEndASessionAndStopsThatEndAScan) {
  const auto is = [](const char* id, Severity severity, Scope scope) {
    EXPECT_EQ(finding_kind(id).severity, severity) << id;
    EXPECT_EQ(finding_kind(id).scope, scope) << id;
  };
  for (const char* id : {"rig-mismatch",
                         "calibration-changed",
                         "warm-up",
                         "mirrored",
                         "too-perfect",
                         "scaled",
                         "same-measurement"})
    is(id, Severity::stop, Scope::session);
  for (const char* id : {"wrong-artefact",
                         "unit-mismatch",
                         "truncated",
                         "unreadable",
                         "one-ball",
                         "too-few-points",
                         "giant-sphere",
                         "ambiguous",
                         "nothing-found",
                         "two-shells"})
    is(id, Severity::stop, Scope::scan);
}

TEST(Findings, IsStrict) {
  EXPECT_THROW(make_finding("no-such-id", {}), Error);
  EXPECT_THROW(make_finding("withdrawn", {{"scan", "a"}}), Error);
  EXPECT_THROW(make_finding("withdrawn", {{"scan", "a"}, {"reason", "b"}}, "a", Severity::stop),
               Error);
  const auto overdue = [](std::optional<Severity> s) {
    return make_finding("artefact-overdue", {{"id", "K"}, {"days", "3"}}, {}, s).severity;
  };
  EXPECT_EQ(overdue(std::nullopt), Severity::stop);
  EXPECT_EQ(overdue(Severity::warn), Severity::warn);
  EXPECT_THROW(overdue(Severity::note), Error);
}

TEST(Findings, NeverExpandsWhatAFileNameHolds) {
  const Finding f = make_finding("withdrawn", {{"scan", "{reason}{"}, {"reason", "}{x}"}});
  EXPECT_NE(f.text.find("{reason}{ was withdrawn: }{x}"), std::string::npos) << f.text;
}

}  // namespace
}  // namespace rigproof
