// `explain`: everything that is printed can be computed again with a calculator, from the fits to
// the verdict; names of values; the Monte Carlo run beside the budget.
#include <cmath>
#include <fstream>

#include <gtest/gtest.h>

#include "app/explained_page.h"
#include "app/program.h"
#include "contact_widths.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

const fs::path& session() {
  static const fs::path folder = [] {
    const fs::path dir = scratch_folder("explained");
    const ProgramRun run =
        run_program({"demo", "--out", "s", "--points", "40000", "--quiet", "--rig", "R09"}, dir);
    EXPECT_NE(run.out.find("SIMULATED"), std::string::npos) << run.out << run.err;
    // Wide enough for the repeatability gate, and one limit that grows with the length.
    std::ofstream(dir / "s/limits.toml")
        << "set_by = \"test\"\ndate = 2026-01-01\nrule = \"proven\"\n[mm]\nprobing_form = 0.036\n"
           "probing_size = 0.02\nsphere_spacing = { A = 0.01, K = 100000 }\nflatness = 0.036\n";
    return dir / "s";
  }();
  return folder;
}

void recompute(const std::string& name) {
  const ProgramRun run = run_program({"explain", session(), name});
  ASSERT_EQ(run.code, 0) << run.err;
  EXPECT_NE(run.out.find("SIMULATED"), std::string::npos);
  expect_computed_again(run.out);
}

TEST(Explain, ASpacingCanBeComputedAgain) { recompute("SD worst"); }
TEST(Explain, AFormCanBeComputedAgain) { recompute("probing_form worst"); }
TEST(Explain, ASizeCanBeComputedAgain) { recompute("PS worst"); }
TEST(Explain, AFlatnessCanBeComputedAgain) { recompute("flatness worst"); }

// u_T of the session's two readings stands there as an equation, not as a number alone.
TEST(Explain, TheTemperatureOfTwoReadingsHasItsFormula) {
  const ProgramRun run = run_program({"explain", session(), "PS", "worst"});
  EXPECT_NE(run.out.find("u_T = sqrt("), std::string::npos) << run.out;
}

TEST(Explain, JsonAndMonteCarlo) {
  const ProgramRun run =
      run_program({"explain", session(), "SD", "worst", "--monte-carlo", "--json"});
  ASSERT_EQ(run.code, 0) << run.err;
  const auto j = run.json();
  EXPECT_EQ(j["characteristic"], "sphere_spacing");
  EXPECT_EQ(j["simulated"], true);
  double square = 0;
  for (const auto& line : j["budget"]) {
    square += std::pow(line["u"].get<double>(), 2);
    EXPECT_FALSE(line["formula"].get<std::string>().empty());
    EXPECT_FALSE(line["inputs"].empty());
  }
  EXPECT_NEAR(std::sqrt(square), j["u"].get<double>(), 1e-15);
  const auto& m = j["monte_carlo"];
  EXPECT_TRUE(m["stable"].get<bool>());
  EXPECT_TRUE(m["agrees"].get<bool>()) << m;
  EXPECT_NEAR(m["p_within"].get<double>(), j["decision"]["p_within"].get<double>(), 0.005);
  // The fits give the value.
  double d2 = 0;
  for (int k = 0; k < 3; ++k)
    d2 += std::pow(j["features"][1]["fit"]["center"][k].get<double>() -
                       j["features"][0]["fit"]["center"][k].get<double>(),
                   2);
  EXPECT_NEAR(std::sqrt(d2), j["measured"].get<double>(), 1e-12);
  const ProgramRun again = run_program(
      {"explain", j["value_name"].get<std::string>(), "--monte-carlo", "--json"}, session());
  EXPECT_EQ(again.out, run.out) << "by its full name, inside the folder, the same bytes";
}

// The document holds the points that a zone rests on, with all their digits.
TEST(Explain, JsonHoldsWhatAZoneRestsOn) {
  const auto points = [](const nlohmann::json& list) {
    std::vector<contacts::Vec3> out;
    for (const auto& p : list) out.emplace_back(p[0], p[1], p[2]);
    return out;
  };
  for (const char* name : {"PF", "flatness"}) {
    const ProgramRun run = run_program({"explain", session(), name, "worst", "--json"});
    ASSERT_EQ(run.code, 0) << run.err;
    const auto j = run.json();
    const auto& e = j["features"][0]["enclosures"][0];
    EXPECT_EQ(e["name"], "minimum_zone");
    const auto low = points(e["low_points"]), high = points(e["high_points"]);
    const double width =
        name[0] == 'P' ? contacts::width_of_shell(low, high) : contacts::width_of_planes(low, high);
    EXPECT_NEAR(width, j["alternatives"]["minimum_zone"].get<double>(), 1e-9) << e;
    EXPECT_LE(width, j["measured"].get<double>());
  }
}

// The rectangle's centre lies on the fitted plane, and its sides are at right angles.
TEST(Explain, JsonHoldsTheRectangleOfAPlate) {
  const ProgramRun run = run_program({"explain", session(), "flatness", "worst", "--json"});
  ASSERT_EQ(run.code, 0) << run.err;
  const auto f = run.json()["features"][0];
  const auto vec = [](const nlohmann::json& v) { return contacts::Vec3(v[0], v[1], v[2]); };
  const auto u = vec(f["rectangle"]["axes"][0]), v = vec(f["rectangle"]["axes"][1]);
  EXPECT_NEAR(u.norm(), 1, 1e-12);
  EXPECT_NEAR(v.norm(), 1, 1e-12);
  EXPECT_NEAR(u.dot(v), 0, 1e-12);
  const contacts::Vec3 offset = vec(f["rectangle"]["center"]) - vec(f["fit_all"]["center"]);
  EXPECT_NEAR(vec(f["fit_all"]["normal"]).dot(offset), 0, 1e-9);
}

TEST(Explain, NamesTheCandidates) {
  const ProgramRun many = run_program({"explain", session(), "SD"});
  EXPECT_EQ(many.code, 64);
  EXPECT_TRUE(many.out.empty());
  EXPECT_NE(many.err.find("sphere_spacing@"), std::string::npos) << many.err;
  const ProgramRun none = run_program({"explain", session(), "elephant"});
  EXPECT_EQ(none.code, 64);
  EXPECT_NE(none.err.find("probing_form@"), std::string::npos) << none.err;
  EXPECT_EQ(run_program({"explain", "nowhere", "SD"}, scratch_folder("empty")).code, 66);
}

}  // namespace
}  // namespace rigproof
