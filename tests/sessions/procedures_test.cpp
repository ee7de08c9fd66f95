// Every shipped procedure from points to verdict: what it names has values, they are the rig's to
// within their repeatability, and nothing is missing.

#include <gtest/gtest.h>

#include "evaluate/characteristic.h"
#include "sessions/planting.h"
#include "simulate/assessed.h"

namespace rigproof {
namespace {

class Procedures : public testing::TestWithParam<const char*> {};

TEST_P(Procedures, RunFromPointsToVerdict) {
  const Scenario scenario = demo_scenario("R09", GetParam(), {}, 1, 40'000);
  const Assessed a = assessed_with_limits(scenario, GetParam());
  const Results& r = a.results;
  EXPECT_EQ(r.verdict, Verdict::within) << r.headline;
  EXPECT_TRUE(r.not_tested.empty()) << r.headline;
  for (const Finding& f : r.findings) EXPECT_EQ(f.severity, Severity::note) << f.text;
  EXPECT_EQ(r.scans.size(), scenario.procedure.positions.size());
  for (const ScanRecord& scan : r.scans) EXPECT_EQ(scan.status, ScanStatus::used) << scan.file;

  std::size_t named = 0, known = 0;
  for (const auto& [id, rule] : scenario.procedure.characteristics) {
    const auto c = std::ranges::find(r.characteristics, id, &CharacteristicResult::id);
    ASSERT_NE(c, r.characteristics.end()) << id;
    EXPECT_TRUE(c->judged) << id;
    EXPECT_FALSE(c->values.empty()) << id;
    for (const JudgedValue& v : c->values) {
      EXPECT_GT(v.value.u, 0) << id;
      EXPECT_GE(v.value.budget.size(), 5u) << id;
      named += v.decision.has_value();
    }
  }
  EXPECT_GT(named, 0u);

  // Five standard deviations: one value in a million by chance.
  for_values(a, [&](const TrueValue& t, const TestValue& v) {
    if (!v.signed_value) return;
    ++known;
    EXPECT_NEAR(v.value, t.expected, 5 * v.u_fit) << v.id << " " << v.scan;
  });
  EXPECT_GE(known, r.scans.size() / 3);
}

INSTANTIATE_TEST_SUITE_P(Shipped,
                         Procedures,
                         testing::Values("single-view", "half-hour", "optical-cms", "interim"));

}  // namespace
}  // namespace rigproof
