// A session whose scans come one by one.
#include "plan/progress.h"

#include <chrono>
#include <cmath>
#include <fstream>
#include <random>

#include <gmock/gmock.h>
#include <unistd.h>

#include "inputs/nominal.h"
#include "plan/plan.h"
#include "plan/plan_session.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

/// Two balls of a bar as a rig at the origin sees them: front halves, 5 µm of noise along the view.
void write_bar(
    const fs::path& file, const Vec3& middle, const Vec3& along, double length, int seed) {
  std::mt19937 random(static_cast<unsigned>(seed));
  std::normal_distribution<double> noise(0, 0.005);
  std::ofstream out(file);
  for (const double side : {-0.5, 0.5}) {
    const Vec3 center = middle + side * length * along.normalized();
    for (double x = -14.5; x <= 14.5; x += 0.5)
      for (double y = -14.5; y <= 14.5; y += 0.5) {
        const double rest = 15.0 * 15.0 - x * x - y * y;
        if (rest < 15) continue;
        out << center.x() + x << ' ' << center.y() + y << ' '
            << center.z() - std::sqrt(rest) + noise(random) << '\n';
      }
  }
}

Session with_one_bar(const std::string& name) {
  Session s = session_before_scanning("R12");
  s.folder = fs::path(testing::TempDir()) / (name + std::to_string(::getpid()));
  fs::remove_all(s.folder);
  fs::create_directories(s.folder / "scans");
  s.artefacts = {nominal_bar(120, 30)};
  s.artefacts[0].serial = "bar-120";
  return s;
}

std::vector<PlanEntry> three_positions() {
  PlanEntry a, b, again;
  a.id = "P01", a.center = {0, 0, 0}, a.direction = {{1, 0, 0}}, a.serial = "bar-120";
  b.id = "P02", b.center = {0, 0, 0.5}, b.direction = {{0, 1, 0}}, b.serial = "bar-120";
  again = a;
  again.id = "P03", again.repeats = "P01", again.closing = true;
  return {a, b, again};
}

TEST(RunningSession, TellsPositionsInAnyOrderAndWhatComesNext) {
  const Session session = with_one_bar("running");
  RunningSession running(session, three_positions());
  EXPECT_EQ(running.progress().next->id, "P01");
  const fs::path scans = session.folder / "scans";
  write_bar(scans / "x.xyz", {2, -3, 635}, {0, 1, 0.05}, 120.004, 1);
  const ScanNote first = running.take(scans / "x.xyz");
  EXPECT_TRUE(first.keep) << testing::PrintToString(first.reasons);
  EXPECT_EQ(first.position, "P02");
  EXPECT_EQ(first.artefact, "bar-120");
  ASSERT_TRUE(first.cap_deg);
  EXPECT_GT(*first.cap_deg, 45);
  EXPECT_EQ(running.progress().next->id, "P01");
  write_bar(scans / "y.xyz", {0, 1, 598}, {1, 0.02, 0}, 120.004, 2);
  EXPECT_EQ(running.take(scans / "y.xyz").position, "P01");
  EXPECT_EQ(running.progress().next->id, "P03");
  // The closing repeat needs a scan in between.
  write_bar(scans / "z.xyz", {60, 1, 560}, {0, 1, 0.1}, 120.004, 3);
  EXPECT_EQ(running.take(scans / "z.xyz").position, "");
  write_bar(scans / "closing.xyz", {0.2, 1, 598.1}, {1, 0.02, 0}, 120.004, 4);
  EXPECT_EQ(running.take(scans / "closing.xyz").position, "P03");
  EXPECT_TRUE(running.progress().complete());
  EXPECT_EQ(running.progress().done, 3);
  // What closed the session now is its first scan at P01; closing is still to do.
  running.drop("scans/y.xyz");
  EXPECT_EQ(running.progress().next->id, "P03");
}

TEST(RunningSession, SaysAlreadyOutsideByHowMuch) {
  Session session = with_one_bar("outside");
  session.limits.rule = DecisionRule::simple;
  session.limits.by_characteristic = {{"sphere_spacing", {0.030, 0}}};
  RunningSession running(session, three_positions());
  const fs::path scan = session.folder / "scans/x.xyz";
  // 0.1 mm too long; the 1.3 K of the environment change 120 mm of steel by 1.8 µm.
  write_bar(scan, {0, 0, 600}, {1, 0, 0}, 120.1, 1);
  running.take(scan);
  const SessionProgress p = running.progress();
  ASSERT_TRUE(p.outside);
  EXPECT_NEAR(p.outside->value_mm, 0.1 - 120 * 11.5e-6 * 1.3, 0.002);
  EXPECT_EQ(p.outside->limit_mm, 0.030);
}

TEST(RunningSession, AScanThatIsRenamedKeepsItsPlace) {
  const Session session = with_one_bar("renamed");
  RunningSession running(session, three_positions());
  const fs::path scans = session.folder / "scans";
  write_bar(scans / "x.xyz", {0, 0, 600}, {1, 0, 0}, 120, 1);
  running.take(scans / "x.xyz");
  running.rename("scans/x.xyz", "scans/y.xyz");
  EXPECT_EQ(running.progress().done, 1);
  running.drop("scans/x.xyz");
  EXPECT_EQ(running.progress().done, 1);
  running.drop("scans/y.xyz");
  EXPECT_EQ(running.progress().done, 0);
}

double resident_mb() {
  std::ifstream in("/proc/self/statm");
  double pages = 0, resident = 0;
  in >> pages >> resident;
  return resident * static_cast<double>(::sysconf(_SC_PAGESIZE)) / (1 << 20);
}

// 200 small scans: what is kept of each must be small beside its points, and the last is judged as
// soon as the first.
TEST(RunningSession, StaysFlatOver200Scans) {
#ifdef RIGPROOF_SANITIZED
  constexpr int scans = 40;  // instrumented code is many times slower
#else
  constexpr int scans = 200;
#endif
  const Session session = with_one_bar("many");
  RunningSession running(session, three_positions());
  double after_20 = 0, seconds = 0;
  for (int i = 0; i < scans; ++i) {
    const fs::path scan = session.folder / ("scans/s" + std::to_string(i) + ".xyz");
    write_bar(scan, {i % 7 - 3.0, i % 5 - 2.0, 600.0 + i % 11}, {1, 0.01 * (i % 9), 0}, 120, i);
    const auto start = std::chrono::steady_clock::now();
    ASSERT_TRUE(running.take(scan).keep);
    EXPECT_GE(running.progress().done, 1);
    seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
    if (i == 19) after_20 = resident_mb();
    fs::remove(scan);
  }
  EXPECT_EQ(running.scans(), static_cast<std::size_t>(scans));
  EXPECT_LT(resident_mb() - after_20, 24);
  EXPECT_LT(seconds, 3);
  std::printf("growth over %d scans: %.1f MB; the last took %.2f s\n",
              scans - 20,
              resident_mb() - after_20,
              seconds);
}

}  // namespace
}  // namespace rigproof
