// Every value of a session can be computed again with a calculator, from its page of `explain`.

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "app/explained_evidence.h"
#include "app/explained_page.h"
#include "assess/explanation.h"
#include "report/explain.h"
#include "sessions/planting.h"
#include "simulate/assessed.h"

namespace rigproof {
namespace {

ComputedEvidence expect_all_computed_again(const Results& results) {
  std::size_t judged = 0;
  ComputedEvidence seen;
  for (const Explanation& e : find_values(results, "")) {
    const std::string page = explanation_text(e);
    if (e.judged->decision) {
      ++judged;
      expect_computed_again(page);
    }
    const ComputedEvidence here = expect_evidence_computed_again(page);
    seen.shells += here.shells;
    seen.planes += here.planes;
    seen.shares += here.shares;
    seen.patches += here.patches;
    if (testing::Test::HasFailure()) return seen;  // one page is enough to read
  }
  EXPECT_GT(judged, 10u);
  return seen;
}

TEST(Explained, EveryValueOfASession) {
  const ComputedEvidence seen = expect_all_computed_again(planted::clean(planted::Base::few));
  EXPECT_GT(seen.shells, 5) << "minimum zones of balls";
  EXPECT_GT(seen.planes, 0) << "minimum zones of plates";
}

// Those in the style of ISO 10360-13, the minimum zone judged too, and either shell as the value.
Results of_optical_system(ShellRule shell) {
  const planted::Folder folder("explained_optical");
  simulate(demo_scenario("R09", "optical-cms", {}, 1, 40'000), folder.path());
  Session session = load_session(folder.path());
  session.procedure.characteristics["flatness_mz"] = {};
  session.procedure.dispersion_shell = shell;
  return assess(session);
}

TEST(Explained, CharacteristicsOfOpticalSystems) {
  for (const ShellRule shell : {ShellRule::concentric, ShellRule::free}) {
    const ComputedEvidence seen = expect_all_computed_again(of_optical_system(shell));
    EXPECT_GT(seen.patches, 5);
    EXPECT_GT(seen.shares, 10);
    EXPECT_GT(seen.planes, 0);
    EXPECT_GT(seen.shells, 0) << "free shells are held by five points";
  }
}

// "… (0.1000, -0.2000, -0.9000)…" after these words.
Vec3 triple_after(const std::string& page, const std::string& words) {
  Vec3 v = Vec3::Constant(NAN);
  const auto at = page.find(words);
  const auto open = at == std::string::npos ? at : page.find('(', at);
  if (open != std::string::npos)
    std::sscanf(page.c_str() + open, "(%lf, %lf, %lf)", &v[0], &v[1], &v[2]);
  return v;
}

// The pages of the session's single balls that leave a cone out; each says so where its feature
// does.
std::vector<std::string> pages_with_cone(const Results& results) {
  std::vector<std::string> pages;
  for (const Explanation& e : find_values(results, "")) {
    if (e.features.size() != 1 || !e.features[0]->sphere) continue;
    const std::string page = explanation_text(e);
    const bool there = page.find("outside the holder's cone of") != std::string::npos;
    EXPECT_EQ(there, e.features[0]->holder_deg > 0) << page;
    if (there) pages.push_back(page);
  }
  return pages;
}

// The virtual rig's rod stands 50° below the middle of the cap (y is down) and is 0.22 of the
// ball's radius thick: it is seen within asin 0.22 = 12.7° of there.
TEST(Explained, AHolderThatWasFound) {
  const auto pages = pages_with_cone(
      planted::assessed({.finding = "holder-cut", .severity = Severity::note, .fault = "holder"}));
  ASSERT_FALSE(pages.empty());
  for (const std::string& page : pages) {
    const Vec3 middle = triple_after(page, "cap of 60 deg about the").normalized();
    const Vec3 down = (Vec3::UnitY() - middle.y() * middle).normalized();
    const double deg = std::numbers::pi / 180;
    const Vec3 rod = std::cos(50 * deg) * middle + std::sin(50 * deg) * down;
    const Vec3 axis = triple_after(page, "outside the holder's cone of");
    EXPECT_NEAR(axis.norm(), 1, 2e-4);
    EXPECT_GT(axis.normalized().dot(rod), std::cos(12.7 * deg)) << page;
    EXPECT_NE(page.find("found in the scan"), std::string::npos) << page;
    EXPECT_NE(page.find("counted before the found cone was left out"), std::string::npos);
  }
}

TEST(Explained, AHolderThatWasDeclared) {
  const planted::Folder folder("explained_holder");
  simulate(planted::base_scenario(planted::Base::few), folder.path());
  Session session = load_session(folder.path());
  for (Artefact& a : session.artefacts)
    if (a.kind == ArtefactKind::ball) a.holder = Holder{{0, 2, 0}, 25};
  const auto pages = pages_with_cone(assess(session));
  ASSERT_FALSE(pages.empty());
  for (const std::string& page : pages)
    EXPECT_NE(page.find("outside the holder's cone of 25 deg about (0.0000, 1.0000, 0.0000), "
                        "declared with the artefact"),
              std::string::npos)
        << page;
}

}  // namespace
}  // namespace rigproof
