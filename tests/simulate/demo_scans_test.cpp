// The session that is shipped: what the first command of a newcomer shows.

#include <gtest/gtest.h>

#include "assess/assess.h"

namespace rigproof {
namespace {

TEST(DemoScans, EndWithinLimitsWithoutAWarning) {
  const Results r = assess(load_session(RIGPROOF_SOURCE_DIR "/demo_scans/half-hour"));
  EXPECT_EQ(r.verdict, Verdict::within) << r.headline;
  EXPECT_TRUE(r.simulated);
  EXPECT_EQ(r.scans.size(), 15u);
  for (const Finding& f : r.findings) EXPECT_EQ(f.severity, Severity::note) << f.id << f.text;
}

}  // namespace
}  // namespace rigproof
