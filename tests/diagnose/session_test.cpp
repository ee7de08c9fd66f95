// Whole sessions: rendered, located, fitted, judged and diagnosed.
#include <filesystem>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include "assess/assess.h"
#include "record/results_json.h"
#include "simulate/simulate.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

constexpr double kPoints = 40'000;  // a scan

class SessionDiagnosis : public testing::Test {
 protected:
  void SetUp() override {
    folder_ = fs::temp_directory_path() / ("rigproof-diagnose-" + std::to_string(getpid()));
    fs::remove_all(folder_);
  }
  void TearDown() override { fs::remove_all(folder_); }

  Session made(const std::vector<Fault>& faults) const {
    simulate(demo_scenario("R12", "half-hour", faults, 3, kPoints), folder_);
    return load_session(folder_);
  }

  fs::path folder_;
};

TEST_F(SessionDiagnosis, NamesTheFaultAndChangesNoValue) {
  const Session session = made({{"toe-in", 120., ""}});
  const Results with = assess(session);
  ASSERT_FALSE(with.diagnosis.causes.empty());
  const auto cause = std::ranges::find(with.diagnosis.causes, "toe-in", &Cause::id);
  ASSERT_NE(cause, with.diagnosis.causes.end());
  EXPECT_NEAR(cause->coefficient, 120, 4 * cause->u);
  int observations = 0;
  for (const ZoneRecord& z : with.zones) observations += z.observations;
  EXPECT_GT(observations, 60);

  AssessOptions options;
  options.diagnosis = false;
  Results without = assess(session, options);
  EXPECT_FALSE(without.diagnosis.ran);
  EXPECT_TRUE(without.zones.empty());
  // Everything else is the same bytes: verdict, values, findings, scans.
  without.diagnosis = with.diagnosis;
  without.zones = with.zones;
  EXPECT_EQ(results_json(without), results_json(with));
}

TEST_F(SessionDiagnosis, NamesNothingInACleanSession) {
  const Results r = assess(made({}));
  EXPECT_TRUE(r.diagnosis.ran);
  EXPECT_TRUE(r.diagnosis.clean) << r.diagnosis.causes.front().id;
}

}  // namespace
}  // namespace rigproof
