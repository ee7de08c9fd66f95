// Trends of made histories: what was put in is what must be said, and nothing is said of chance.
#include "record/trend.h"

#include <cmath>
#include <random>

#include <gtest/gtest.h>

#include "record/made_history.h"
#include "record/rig_status.h"

namespace rigproof {
namespace {

/// A check every ten days; error in mm by number.
template <class Error>
std::vector<HistoryCheck> made_checks(int n, const Error& error, int from = 0) {
  std::vector<HistoryCheck> out;
  for (int i = 0; i < n; ++i) out.push_back(made_check("R1", 10 * (from + i), error(i)));
  return out;
}

const TrendSeries& main_series(const Trend& trend) {
  EXPECT_EQ(trend.series.at(0).id, "sphere_spacing");
  EXPECT_TRUE(trend.series.at(0).mean);
  return trend.series.at(0);
}

TEST(Trend, NoLimitsBeforeSixChecksAndProvisionalUntilTwelve) {
  const auto wave = [](int i) { return 0.001 * (i % 2 ? 1 : -1); };
  for (const int n : {1, 5, 6, 11, 12, 20}) {
    const Trend trend = make_trend(made_checks(n, wave), {});
    const TrendPhase& phase = main_series(trend).phases.at(0);
    EXPECT_EQ(phase.baseline, n < 6 ? 0u : std::min(n, 12)) << n;
    if (n >= 6) {
      EXPECT_EQ(phase.provisional, n < 12) << n;
    }
    EXPECT_FALSE(trend.forecast) << n;
  }
}

// Stores of before took any number in, and days are asked of what is computed from them.
TEST(Trend, NumbersBeyondAllMeasuringGiveNoForecast) {
  const Trend trend =
      make_trend(made_checks(15, [](int i) { return i % 3 ? 1.7e308 : -1.7e308; }), {});
  EXPECT_FALSE(trend.forecast);
  for (const TrendPhase& phase : main_series(trend).phases) EXPECT_FALSE(phase.slope || phase.step);
  EXPECT_EQ(day_text(std::nan("")), "9999-12-31");
  EXPECT_EQ(day_text(1e300), "9999-12-31");
  EXPECT_EQ(day_text(-1e300), "0001-01-01");
  EXPECT_EQ(day_text(day_number("2026-03-14") + 0.7), "2026-03-14");
}

TEST(Trend, ANewCalibrationStartsANewPhase) {
  auto checks = made_checks(7, [](int i) { return 0.001 * (i % 2); });
  auto later = made_checks(6, [](int i) { return 0.02 + 0.001 * (i % 2); }, 7);
  for (auto& check : later) check.calibration = "second";
  checks.insert(checks.end(), later.begin(), later.end());
  const Trend trend = make_trend(checks, {});
  const auto& phases = main_series(trend).phases;
  ASSERT_EQ(phases.size(), 2u);
  EXPECT_EQ(phases[1].first, 7u);
  EXPECT_EQ(phases[1].count, 6u);
  // The step between calibrations is no alarm of either phase.
  for (const auto& phase : phases) EXPECT_TRUE(phase.alarms.empty());
}

// e = 0.1 µm a day from zero with U = 2 µm reaches the limit of 30 µm on day 280.
TEST(Trend, ASteadyDriftIsForecastToTheDay) {
  std::mt19937_64 random(3);
  std::normal_distribution<double> noise(0, 0.0003);
  const auto drift = [&](int i) { return 0.0001 * 10 * i + noise(random); };
  const Trend trend = make_trend(made_checks(15, drift), {});
  ASSERT_TRUE(trend.forecast);
  const double first = day_number("2026-01-01");
  EXPECT_NEAR(day_number(trend.forecast->expected) - first, 280, 15);
  EXPECT_LE(day_number(trend.forecast->earliest) - first, 280);
  ASSERT_TRUE(trend.forecast->latest);
  EXPECT_GE(day_number(*trend.forecast->latest) - first, 280);
  EXPECT_TRUE(main_series(trend).phases[0].slope);
  EXPECT_FALSE(main_series(trend).phases[0].step);
}

TEST(Trend, ADriftDownwardsReachesTheLowerLimit) {
  std::mt19937_64 random(3);
  std::normal_distribution<double> noise(0, 0.0003);
  const auto drift = [&](int i) { return 0.004 - 0.0001 * 10 * i + noise(random); };
  const Trend trend = make_trend(made_checks(15, drift), {});
  ASSERT_TRUE(trend.forecast);
  // 4 µm + 28 µm at 0.1 µm a day.
  EXPECT_NEAR(day_number(trend.forecast->expected) - day_number("2026-01-01"), 320, 15);
}

TEST(Trend, AStepIsAStepAndNoSlope) {
  std::mt19937_64 random(5);
  std::normal_distribution<double> noise(0, 0.0003);
  const auto step = [&](int i) { return (i < 9 ? 0.0 : 0.006) + noise(random); };
  const Trend trend = make_trend(made_checks(18, step), {});
  const TrendPhase& phase = main_series(trend).phases.at(0);
  ASSERT_TRUE(phase.step);
  EXPECT_EQ(phase.step->first, 9u);
  EXPECT_NEAR(phase.step->after - phase.step->before, 0.006, 0.0006);
  EXPECT_FALSE(phase.slope);
  EXPECT_FALSE(trend.forecast);
}

TEST(Trend, StableRigsRarelyGetASlopeOrAStep) {
  std::mt19937_64 random(17);
  std::normal_distribution<double> noise(0, 0.001);
  int said = 0;
  const int runs = 1000;
  for (int run = 0; run < runs; ++run) {
    const Trend trend = make_trend(made_checks(12, [&](int) { return noise(random); }), {});
    for (const auto& series : trend.series) {
      said += series.phases[0].slope || series.phases[0].step;
      break;  // the other series hold the same numbers
    }
  }
  // Two tests of a series, 5 % shared over its four series, four standard deviations.
  EXPECT_LE(said / double(runs), 2 * 0.05 / 4 + 4 * std::sqrt(0.025 * 0.975 / runs));
}

TEST(Trend, AFailedCheckNamesTheSuspectWindow) {
  auto checks = made_checks(5, [](int i) { return i >= 3 ? 0.05 : 0.001; });
  checks[2].verdict = "invalid";  // says nothing
  const Trend trend = make_trend(checks, {});
  ASSERT_EQ(trend.suspect.size(), 1u);
  EXPECT_EQ(trend.suspect[0].from_day, "2026-01-11");
  EXPECT_EQ(trend.suspect[0].to_day, "2026-01-31");
  const Trend never_good = make_trend(made_checks(2, [](int) { return 0.05; }), {});
  ASSERT_EQ(never_good.suspect.size(), 1u);
  EXPECT_EQ(never_good.suspect[0].from_day, "");
}

TEST(Trend, CoefficientsOfCausesAreChartedInTheirOwnUnit) {
  auto checks = made_checks(3, [](int) { return 0.001; });
  checks[1].causes.push_back({"toe-in", "urad", 12, 3});
  const Trend trend = make_trend(checks, {});
  const auto it = std::ranges::find(trend.series, "cause toe-in", &TrendSeries::id);
  ASSERT_NE(it, trend.series.end());
  EXPECT_EQ(it->unit, "urad");
  ASSERT_EQ(it->points.size(), 1u);
  EXPECT_EQ(it->points[0].U, 6);
}

TEST(Rigs, MarginAndDaysAreThoseOfTheLastCheck) {
  auto checks = made_checks(3, [](int i) { return i == 1 ? 0.05 : 0.010; });
  checks[2].findings = {{"is-mesh", "warn", ""}, {"retest", "note", ""}, {"is-mesh", "warn", "a"}};
  checks.push_back(made_check("R0", 4, 0.05));
  const auto rigs = rig_statuses(checks, "2026-02-01");
  ASSERT_EQ(rigs.size(), 2u);
  EXPECT_EQ(rigs[0].rig, "R0");
  EXPECT_EQ(rigs[0].verdict, "outside");
  ASSERT_TRUE(rigs[0].suspect);
  EXPECT_EQ(rigs[1].verdict, "within");
  EXPECT_NEAR(*rigs[1].margin, (0.030 - 0.010 - 0.002) / 0.030, 1e-12);
  EXPECT_EQ(rigs[1].days_since, 11);
  EXPECT_EQ(rigs[1].open_findings, std::vector<std::string>{"is-mesh"});
  EXPECT_FALSE(rigs[1].suspect);
}

TEST(Days, CountAndBack) {
  EXPECT_EQ(day_number("1970-01-01"), 0);
  EXPECT_EQ(day_number("2026-03-14"), 20526);  // days from 1970 to 2026 with 14 leap days
  EXPECT_EQ(day_text(20526.9), "2026-03-14");
}

}  // namespace
}  // namespace rigproof
