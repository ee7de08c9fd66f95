// Without noise the road from scan to value must give back the truth, and with a fault of the
// calibration what exact propagation gives: zone, fit and allowance of the evaluation against those
// of the virtual rig, which are written apart.

#include <algorithm>

#include <gtest/gtest.h>

#include "simulate/assessed.h"

namespace rigproof {
namespace {

// Two bars, two plates and a ball. The edges of a plate's zone follow its outermost points, so that
// a bent plate wants a dense scan.
Scenario ideal(const std::string& rig, const std::vector<Fault>& faults) {
  Scenario s = demo_scenario(rig, "single-view", faults, 5, faults.empty() ? 60'000 : 120'000);
  std::vector<PlannedPosition> few;
  for (const std::size_t i : {0, 3, 7, 11, 14}) few.push_back(s.procedure.positions.at(i));
  s.procedure.positions = few;
  s.procedure.demand = {};
  s.make_ideal();
  s.clutter = faults.empty();
  return s;
}

struct Differences {
  int centers = 0, values = 0;
  double center = 0, radius = 0, form = 0, value = 0, from_truth = 0;
};

Differences differences(const Assessed& a) {
  Differences d;
  for_features(a, [&](const TrueFeature& t, const FeatureRecord& f) {
    d.form = std::max(d.form, std::abs(f.form - t.expected_form));
    if (!f.sphere) return;
    ++d.centers;
    d.center = std::max(d.center, (f.center - t.expected_center).norm());
    d.radius = std::max(d.radius, std::abs(f.radius - t.expected_radius));
    d.from_truth = std::max(d.from_truth, (f.center - t.center).norm());
  });
  for_values(a, [&](const TrueValue& t, const TestValue& v) {
    ++d.values;
    d.value = std::max(d.value, std::abs(v.value - t.expected));
    d.from_truth = std::max(d.from_truth, std::abs(v.value - t.truth));
  });
  return d;
}

class IdealRig : public testing::TestWithParam<const char*> {};

TEST_P(IdealRig, GivesTheTruth) {
  const Assessed a = assessed(ideal(GetParam(), {}), std::string("ideal_") + GetParam());
  const Differences d = differences(a);
  EXPECT_EQ(d.centers, 5);
  EXPECT_EQ(d.values, 14);  // 5 sizes, 5 forms, 2 distances, 2 flatnesses
  EXPECT_LT(d.center, 1e-6);
  EXPECT_LT(d.radius, 1e-6);
  EXPECT_LT(d.form, 1e-6);
  EXPECT_LT(d.value, 1e-6);
  EXPECT_LT(d.from_truth, 1e-6);
  // Values are printed all the same, but nobody takes them for a measurement.
  EXPECT_TRUE(std::ranges::any_of(a.results.findings,
                                  [](const Finding& f) { return f.id == "too-perfect"; }));
}

INSTANTIATE_TEST_SUITE_P(Rigs, IdealRig, testing::Values("R06", "R09", "R12", "R15", "R21"));

class FaultyRig : public testing::TestWithParam<std::string> {};

TEST_P(FaultyRig, GivesWhatIsPropagated) {
  const Differences d = differences(assessed(ideal("R12", {parse_fault(GetParam())}), GetParam()));
  EXPECT_EQ(d.centers, 5);
  EXPECT_EQ(d.values, 14);
  EXPECT_LT(d.center, 1e-4);
  EXPECT_LT(d.radius, 1e-4);
  EXPECT_LT(d.form, 1e-4);
  EXPECT_LT(d.value, 1e-4);
  EXPECT_GT(d.from_truth, 2e-3);  // the fault shows
}

std::vector<std::string> calibration_faults() {
  std::vector<std::string> out;
  for (const FaultKind& k : fault_kinds())
    if (k.of == FaultClass::calibration) out.emplace_back(k.name);
  return out;
}

std::string test_name(const testing::TestParamInfo<std::string>& info) {
  std::string name = info.param;
  std::ranges::replace(name, '-', '_');
  return name;
}

INSTANTIATE_TEST_SUITE_P(Faults, FaultyRig, testing::ValuesIn(calibration_faults()), test_name);

// Several at once, with the free match that leaves a gap between the rays.
TEST(FaultyRigs, FaultsAddUpAndAFreeMatchIsPropagatedToo) {
  Scenario s = ideal(
      "R21", {parse_fault("toe-in=-200"), parse_fault("focal-left=150"), parse_fault("pitch=300")});
  s.matching = Matching::free_match;
  const Differences d = differences(assessed(s, "several"));
  EXPECT_EQ(d.values, 14);
  EXPECT_LT(std::max({d.center, d.radius, d.form, d.value}), 1e-4);
  EXPECT_GT(d.from_truth, 0.02);
}

}  // namespace
}  // namespace rigproof
