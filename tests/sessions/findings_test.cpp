// Every finding of the table has a session that raises it and a clean one that does not.

#include <algorithm>
#include <fstream>
#include <iterator>
#include <set>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "sessions/findings_page.h"
#include "sessions/planting.h"

namespace rigproof::planted {

std::vector<Planting> condition_plantings();
std::vector<Planting> processing_plantings();
std::vector<Planting> placement_plantings();
std::vector<Planting> paper_plantings();

namespace {

using Loudness = std::pair<std::string, Severity>;

std::set<Loudness> raised(const Results& results) {
  std::set<Loudness> out;
  for (const Finding& f : results.findings) out.insert({f.id, f.severity});
  return out;
}

std::string listed(const Results& results) {
  std::string out = results.headline + "\n";
  for (const Finding& f : results.findings)
    out += fmt::format("  {} {} {}: {}\n", to_string(f.severity), f.id, f.scan, f.text);
  return out;
}

bool allowed(const Planting& p, const std::string& id) {
  return id == p.finding || std::ranges::find(p.beside, id) != p.beside.end() ||
         std::ranges::find(p.beside, "*") != p.beside.end();
}

// A stop ends what its scope says, and nothing else does.
void check_consequence(const Planting& p, const Results& results) {
  if (p.severity != Severity::stop) return;
  if (finding_kind(p.finding).scope == Scope::session) {
    EXPECT_EQ(results.verdict, Verdict::invalid);
    return;
  }
  for (const Finding& f : results.findings) {
    if (f.id != p.finding || f.severity != Severity::stop) continue;
    const auto scan = std::ranges::find(results.scans, f.scan, &ScanRecord::file);
    ASSERT_NE(scan, results.scans.end()) << f.scan;
    EXPECT_EQ(scan->status, ScanStatus::rejected);
  }
}

void check(const Planting& p) {
  SCOPED_TRACE(p.finding + " (" + to_string(p.severity) + ") " + p.fault + p.how);
  const Results& without = clean(p.base);
  const Results with = assessed(p);
  const Loudness wanted{p.finding, p.severity};
  EXPECT_FALSE(raised(without).contains(wanted)) << listed(without);
  EXPECT_TRUE(raised(with).contains(wanted)) << listed(with);
  for (const std::string& id : p.with) {
    EXPECT_EQ(std::ranges::find(without.findings, id, &Finding::id), without.findings.end()) << id;
    EXPECT_NE(std::ranges::find(with.findings, id, &Finding::id), with.findings.end())
        << id << " must come along\n"
        << listed(with);
  }
  for (const Loudness& f : raised(with)) {
    if (raised(without).contains(f) || allowed(p, f.first)) continue;
    ADD_FAILURE() << f.first << " comes along\n" << listed(with);
  }
  check_consequence(p, with);
}

TEST(Planted, Clean) {
  for (const Base base : {Base::few, Base::full}) {
    const Results& results = clean(base);
    EXPECT_EQ(results.verdict, Verdict::within) << listed(results);
    for (const Finding& f : results.findings) EXPECT_EQ(f.severity, Severity::note) << f.text;
  }
}

TEST(Planted, Condition) {
  for (const Planting& p : condition_plantings()) check(p);
}
TEST(Planted, Processing) {
  for (const Planting& p : processing_plantings()) check(p);
}
TEST(Planted, Placement) {
  for (const Planting& p : placement_plantings()) check(p);
}
TEST(Planted, Papers) {
  for (const Planting& p : paper_plantings()) check(p);
}

// `date` is optional in session.toml: the id tells the day of the test.
TEST(Planted, AnOverdueArtefactIsSeenInASessionWithoutADate) {
  Planting p;
  p.finding = "artefact-overdue";
  p.fault = "overdue";
  p.session = [](Session& s, const Truth&) {
    s.id = to_string(*s.date) + "-undated";
    s.date.reset();
  };
  const Results results = assessed(p);
  ASSERT_FALSE(results.session.date);
  EXPECT_TRUE(raised(results).contains({p.finding, p.severity})) << listed(results);
}

TEST(Findings, EveryRowAndSeverityHasItsPair) {
  std::set<Loudness> planted;
  for (const Planting& p : plantings())
    EXPECT_TRUE(planted.insert({p.finding, p.severity}).second) << p.finding << " twice";
  for (const FindingKind& kind : finding_table()) {
    const std::string id(kind.id);
    EXPECT_TRUE(planted.erase({id, kind.severity})) << id << " " << to_string(kind.severity);
    if (kind.other) {
      EXPECT_TRUE(planted.erase({id, *kind.other})) << id << " " << to_string(*kind.other);
    }
  }
  for (const Loudness& left : planted) ADD_FAILURE() << left.first << " is in no row";
}

TEST(Findings, EveryFaultOfTheVirtualRigNamesOne) {
  for (const FaultKind& fault : fault_kinds()) {
    if (fault.finding.empty()) continue;
    EXPECT_TRUE(std::ranges::any_of(plantings(), [&](const Planting& p) {
      return p.finding == fault.finding && p.fault == fault.name;
    })) << fault.name;
  }
}

TEST(Findings, PageSaysWhatTheCodeSays) {
  std::ifstream in(RIGPROOF_SOURCE_DIR "/docs/findings.md");
  const std::string page((std::istreambuf_iterator<char>(in)), {});
  EXPECT_EQ(page, findings_page()) << "Run the target findings_page and commit docs/findings.md.";
}

}  // namespace
}  // namespace rigproof::planted
