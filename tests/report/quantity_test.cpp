#include "report/quantity.h"

#include <cmath>

#include <gtest/gtest.h>

namespace rigproof {
namespace {

TEST(NumberStyle, GroupsMinusAndDecimalMark) {
  const NumberStyle en("en", false), de("de", false);
  EXPECT_EQ(en.number(-1234567.25, 2), "\u22121\u202f234\u202f567.25");
  EXPECT_EQ(de.number(-0.5, 1), "\u22120,5");
  EXPECT_EQ(en.number(-0.00001, 2), "0.00");
  EXPECT_EQ(en.count(1234), "1234");
  EXPECT_EQ(en.count(12345), "12\u202f345");
  EXPECT_EQ(en.number(std::nan(""), 1), "–");
}

TEST(NumberStyle, InchIsExactly25Point4Millimetres) {
  // International yard and pound agreement, 1959.
  const NumberStyle inch("en", true);
  EXPECT_EQ(inch.large(25.4, 4), "1.0000");
  EXPECT_EQ(inch.small(0.0254, 0), "1000");
  EXPECT_EQ(inch.small_unit(), "µin");
}

TEST(NumberStyle, UncertaintyHasTwoDigits) {
  const NumberStyle n("en", false);
  EXPECT_EQ(n.decimals_for(0.01123, 0.0021, 0), 1);
  EXPECT_EQ(n.decimals_for(0.01123, 0.00052, 0), 2);
  EXPECT_EQ(n.decimals_for(0.01123, 0.021, 0), 0);
}

TEST(NumberStyle, PrintedValueNeverContradictsTheLimit) {
  const NumberStyle n("en", false);
  for (const double value : {0.02999, 0.030004, 0.0299996, -0.0300001}) {
    const int d = n.decimals_for(value, 0.0021, 0.030);
    const double scale = std::pow(10, d);
    const double shown = std::round(std::abs(value) * 1000 * scale) / scale;
    EXPECT_EQ(shown < 30.0, std::abs(value) < 0.030) << value << " with " << d << " decimals";
  }
}

TEST(NumberStyle, DatesInWords) {
  const Date date{std::chrono::year{2026}, std::chrono::month{3}, std::chrono::day{14}};
  EXPECT_EQ(NumberStyle("en", false).date(date), "14 March 2026");
  EXPECT_EQ(NumberStyle("de", false).date(date), "14. März 2026");
}

}  // namespace
}  // namespace rigproof
