// A plan held against the virtual rig, which renders with its own geometry of sight: Embree and
// analytic bodies, holders and clutter included.
#include <gmock/gmock.h>
#include <unistd.h>

#include "assess/assess.h"
#include "plan/planned_scenario.h"

namespace rigproof {
namespace {

TEST(PlannedSession, IsSeenAndCompleteWhenItIsRendered) {
  const auto folder =
      std::filesystem::path(testing::TempDir()) / ("planned_session" + std::to_string(::getpid()));
  const Plan plan = plan_of_virtual_rig("R12", "half-hour", 20'000, folder);
  const Session session =
      simulate(planned_scenario(plan, "R12", "half-hour", {}, 3, 20'000), folder).session;
  const Results results = assess(session);
  EXPECT_EQ(results.scans.size(), plan.scans.size());
  for (const ScanRecord& s : results.scans)
    EXPECT_EQ(s.status, ScanStatus::used) << s.file << ' ' << s.reason;
  for (const Finding& f : results.findings)
    for (const char* id : {"short-cap", "outside-volume", "position-missing", "clustered"})
      EXPECT_NE(f.id, id) << f.scan << ' ' << f.text;
  std::filesystem::remove_all(folder);
}

}  // namespace
}  // namespace rigproof
