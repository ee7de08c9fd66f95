// The retest rule, on sessions of one bar at one place.

#include <gtest/gtest.h>

#include "sessions/planting.h"
#include "sessions/spoil.h"

namespace rigproof::planted {
namespace {

constexpr std::size_t kKnocked = 1;
constexpr const char* kFile = "scans/scan-02.ply";

/// A bar at one place with one ball 80 µm out, then `repeats` times as it is; a closing repeat
/// about them all.
class Retest {
 public:
  explicit Retest(int repeats) : folder_("retest") {
    Scenario s = base_scenario(Base::few);
    s.procedure.positions.clear();
    s.procedure.demand = {0, 2, 0, false};
    const Vec3 middle = s.field_of_view().volume.middle();
    const WantedScan closing{"bar-250-07", middle, Vec3(1, 0.1, 0.4).normalized()};
    s.scans.push_back(closing);
    for (int i = 0; i <= repeats; ++i) s.scans.push_back({"bar-250-07", middle, Vec3::UnitX()});
    s.scans.push_back(closing);
    const SimulatedSession made = simulate(s, folder_.path(), 1);
    session = load_session(folder_.path());
    const TrueFeature ball = made.truth.scans.at(kKnocked).features.at(1);
    change_points(session, kKnocked, [&](const Vec3& p) -> std::optional<Vec3> {
      return on(ball, p, 3) ? Vec3(p + Vec3(0.08, 0, 0)) : p;
    });
  }

  Results assessed(const std::string& reason) {
    session.overrides = {{kFile, "", "", {}, "", reason}};
    return assess(session, {1, false, {}});
  }

  Session session;

 private:
  Folder folder_;
};

const ScanRecord& knocked(const Results& r) { return r.scans.at(kKnocked); }

TEST(Retest, ThreeRepeatsThatMeetSupersedeWhatHasAReason) {
  Retest three(3);
  const Results without = three.assessed("");
  EXPECT_EQ(without.verdict, Verdict::outside) << without.headline;
  EXPECT_EQ(knocked(without).status, ScanStatus::used);

  const Results with = three.assessed("the bar had been knocked");
  EXPECT_EQ(with.verdict, Verdict::within) << with.headline;
  EXPECT_EQ(knocked(with).status, ScanStatus::superseded);
  EXPECT_EQ(knocked(with).reason, "the bar had been knocked");
  // Its values stay on the record and are not judged.
  int kept = 0;
  for (const auto& c : with.characteristics)
    for (const auto& v : c.values)
      if (v.value.scan == kFile) {
        ++kept;
        EXPECT_FALSE(v.decision) << c.id;
      }
  EXPECT_GT(kept, 0);
}

TEST(Retest, TwoAreNotEnough) {
  EXPECT_EQ(Retest(2).assessed("the bar had been knocked").verdict, Verdict::outside);
}

TEST(Retest, AsManyAsTheProcedureAsksForAre) {
  Retest two(2);
  two.session.procedure.retest_repeats = 2;
  EXPECT_EQ(two.assessed("the bar had been knocked").verdict, Verdict::within);
  Retest three(3);
  three.session.procedure.retest_repeats = 4;
  EXPECT_EQ(three.assessed("the bar had been knocked").verdict, Verdict::outside);
}

TEST(Retest, OneThatDoesNotMeetIsOne) {
  Retest four(4);
  change_points(four.session, 3, [](const Vec3& p) -> std::optional<Vec3> {
    return Vec3(1.0006 * p.x(), p.y(), p.z());
  });
  EXPECT_EQ(four.assessed("the bar had been knocked").verdict, Verdict::outside);
}

TEST(Retest, NeedsARule) {
  Retest three(3);
  three.session.procedure.retest.clear();
  EXPECT_EQ(three.assessed("the bar had been knocked").verdict, Verdict::outside);
}

}  // namespace
}  // namespace rigproof::planted
