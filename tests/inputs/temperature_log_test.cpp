// Temperature logs: what a line means, and the fastest change against a search over all pairs.
#include "inputs/temperature_log.h"

#include <chrono>
#include <cmath>
#include <fstream>
#include <random>

#include <gtest/gtest.h>

#include "base/error.h"
#include "scratch_folder.h"

namespace rigproof {
namespace {

std::vector<TemperatureReading> read(const std::string& text) {
  const ScratchFolder folder;
  std::ofstream(folder.path() / "log.csv") << text;
  return load_temperature_log(folder.path() / "log.csv");
}

TEST(TemperatureLog, TimesAreDatesTimesOfDayOrHours) {
  const auto log = read("time;degrees\n2026-03-14 09:30;21.4\n2026-03-14T10:30:36, 21.5, extra\n");
  ASSERT_EQ(log.size(), 2u);
  EXPECT_NEAR(log[1].hours - log[0].hours, 1.01, 1e-9);
  EXPECT_EQ(log[1].celsius, 21.5);
  EXPECT_THROW(read("09:30\n"), Error);
  EXPECT_THROW(read("nothing\n"), Error);
  // No such days and times; the first was found by the fuzzer.
  for (const char* when : {"2026-02--6 09:31.4", "2026-02-30 09:30", "2026-02-03 -9:30", "-9:30"})
    EXPECT_THROW(read(std::string(when) + ",20\n"), Error) << when;
}

TEST(TemperatureLog, GoesOnPastMidnightAndNotWhenTheClockIsSetBack) {
  const auto night = read("22:00,20\n23:30,20\n00:30,21\n01:30,21\n");
  ASSERT_EQ(night.size(), 4u);
  EXPECT_DOUBLE_EQ(night[2].hours, 24.5);
  EXPECT_DOUBLE_EQ(night[3].hours, 25.5);
  EXPECT_DOUBLE_EQ(fastest_change(night).kelvin_per_hour, 1);
  EXPECT_DOUBLE_EQ(read("02:59,20\n02:00,20\n")[1].hours, 2);
}

// The definition, over all pairs: for each reading the next one at least half an hour later.
double slow_fastest(const std::vector<TemperatureReading>& log) {
  double worst = 0;
  for (const auto& a : log) {
    const TemperatureReading* next = nullptr;
    for (const auto& b : log)
      if (b.hours - a.hours >= 0.5 && (!next || b.hours < next->hours)) next = &b;
    if (next)
      worst = std::max(worst, std::abs(next->celsius - a.celsius) / (next->hours - a.hours));
  }
  return worst;
}

TEST(TemperatureLog, TheFastestChangeIsThatOfTheDefinitionInAnyOrder) {
  std::mt19937 random(1);
  for (int round = 0; round < 200; ++round) {
    std::vector<TemperatureReading> log(random() % 40);
    for (auto& reading : log)
      reading = {std::uniform_real_distribution<>(0, 5)(random),
                 std::uniform_real_distribution<>(18, 25)(random),
                 ""};
    EXPECT_DOUBLE_EQ(fastest_change(log).kelvin_per_hour, slow_fastest(log));
  }
}

// Half a million readings within a minute, then one an hour later: the work must not be their
// square, which would be minutes.
TEST(TemperatureLog, ManyReadingsTakeLittleTime) {
  std::vector<TemperatureReading> log(500'000);
  for (std::size_t i = 0; i < log.size(); ++i) log[i] = {static_cast<double>(i) / 3e7, 20, ""};
  log.push_back({1, 21, ""});
  const auto start = std::chrono::steady_clock::now();
  EXPECT_NEAR(fastest_change(log).kelvin_per_hour, 1, 0.02);
  EXPECT_LT(std::chrono::steady_clock::now() - start, std::chrono::seconds(10));
}

}  // namespace
}  // namespace rigproof
