#include "report/statements.h"

#include <ctime>

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

// 10 mm and 5 degrees make another place; which end of a bar is the first does not.
TEST(CustomerSentence, CountsARepeatOnce) {
  const Vec3 x = Vec3::UnitX(), a(5, 5, 600), apart(0, 0, 10.1);
  EXPECT_THAT(sentence(bars_at({a, a, a + Vec3(7, 7, 0)}, {x, -x, x})), HasSubstr("at one place"));
  EXPECT_THAT(sentence(bars_at({a, a + apart, a - apart}, {x})), HasSubstr("at 3 places"));
  EXPECT_THAT(sentence(bars_at({a, a, a}, {x, Vec3(1, 0.08, 0), Vec3(1, 0.18, 0)})),
              HasSubstr("at 2 places"));
}

TEST(CustomerSentence, ManyPlacesAreCountedInTime) {
#ifdef RIGPROOF_SANITIZED
  GTEST_SKIP() << "asks for speed";
#endif
  std::vector<Vec3> middles;
  for (int i = 0; i < 50; ++i)
    for (int j = 0; j < 40; ++j)
      for (int k = 0; k < 50; ++k)
        for (const double shift : {0.0, 4.0})
          middles.emplace_back(10.1 * i + shift, 10.1 * j, 500 + 10.1 * k);
  Results r = bars_at(middles, {Vec3::UnitX(), -Vec3::UnitX()});
  r.session.rig.fields[0].volume = Volume::box(600, 500, 600, 700);
  const std::clock_t start = std::clock();
  EXPECT_THAT(sentence(r), HasSubstr("at 100000 places"));
  // Each against each would be ten thousand million comparisons.
  EXPECT_LT(static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC, 20);
}

}  // namespace
}  // namespace rigproof
