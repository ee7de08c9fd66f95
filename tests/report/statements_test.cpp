#include "report/statements.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "report/sample_results.h"
#include "report/test_options.h"

namespace rigproof {
namespace {

using testing::HasSubstr;

// The invented session whose bars lie at `middles`, along `directions` in turn.
Results bars_at(const std::vector<Vec3>& middles, const std::vector<Vec3>& directions) {
  Results r = sample_results();
  CharacteristicResult spacing;
  for (const CharacteristicResult& c : r.characteristics)
    if (c.id == "sphere_spacing") spacing = c;
  JudgedValue value = spacing.values.front();
  spacing.values.clear();
  for (std::size_t i = 0; i < middles.size(); ++i) {
    value.value.center = middles[i];
    value.value.direction = directions[i % directions.size()];
    spacing.values.push_back(value);
  }
  r.characteristics = {spacing};
  return r;
}

std::string sentence(const Results& results) {
  ReportOptions options = test_options();
  options.results_text = "{}";  // the document has no say in it
  return customer_sentence(ReportContext(results, options));
}

TEST(CustomerSentence, CountsARepeatOnce) {
  const Vec3 x = Vec3::UnitX(), a(5, 5, 600), apart(0, 0, 10.1);
  EXPECT_THAT(sentence(bars_at({a, a, a + Vec3(7, 7, 0)}, {x, -x, x})), HasSubstr("at one place"));
  EXPECT_THAT(sentence(bars_at({a, a + apart, a - apart}, {x})), HasSubstr("at 3 places"));
  EXPECT_THAT(sentence(bars_at({a, a, a}, {x, Vec3(1, 0.08, 0), Vec3(1, 0.18, 0)})),
              HasSubstr("at 2 places"));
}

}  // namespace
}  // namespace rigproof
