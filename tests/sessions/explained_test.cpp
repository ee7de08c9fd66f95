// Every value of a session can be computed again with a calculator, from its page of `explain`.

#include <gtest/gtest.h>

#include "app/explained_page.h"
#include "assess/explanation.h"
#include "report/explain.h"
#include "sessions/planting.h"
#include "simulate/assessed.h"

namespace rigproof {
namespace {

void expect_all_computed_again(const Results& results) {
  std::size_t judged = 0;
  for (const Explanation& e : find_values(results, "")) {
    if (!e.judged->decision) continue;
    ++judged;
    expect_computed_again(explanation_text(e));
    if (testing::Test::HasFailure()) return;  // one page is enough to read
  }
  EXPECT_GT(judged, 10u);
}

TEST(Explained, EveryValueOfASession) {
  expect_all_computed_again(planted::clean(planted::Base::few));
}

TEST(Explained, CharacteristicsOfOpticalSystems) {
  const Scenario s = demo_scenario("R09", "optical-cms", {}, 1, 40'000);
  expect_all_computed_again(assessed_with_limits(s, "explained").results);
}

}  // namespace
}  // namespace rigproof
