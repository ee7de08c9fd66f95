// `plan` before a visit and in a session.
#include <cmath>
#include <fstream>

#include <gmock/gmock.h>

#include "app/program.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

const fs::path& session() {
  static const fs::path made = [] {
    const fs::path dir = scratch_folder("plan_demo");
    run_program({"demo", "--out", "s", "--points", "20000", "--procedure", "interim", "--quiet"},
                dir);
    return dir / "s";
  }();
  return made;
}

TEST(PlanCommand, ComparesEveryArtefactWithAFieldBeforeTheVisit) {
  const ProgramRun run = run_program({"plan", "--rig", "R12/300", "--json"});
  EXPECT_EQ(run.code, 0) << run.err;
  const auto fields = run.json()["fields"];
  ASSERT_EQ(fields.size(), 1u);
  EXPECT_EQ(fields[0]["field"], "300");
  std::map<std::string, std::string> verdict;
  for (const auto& a : fields[0]["artefacts"]) verdict[a["artefact"]] = a["verdict"];
  EXPECT_EQ(verdict["bar-250-07"], "fits");
  EXPECT_EQ(verdict["bar-1000-11"], "too long");
  EXPECT_EQ(verdict["bar-41-01"], "too short");
  EXPECT_EQ(verdict["plate-820-35"], "too long");
  EXPECT_EQ(verdict["plate-75-31"], "too short");
}

TEST(PlanCommand, PlansASessionAndWritesPageAndSheet) {
  const ProgramRun run = run_program({"plan", session(), "--json"});
  EXPECT_EQ(run.code, 0) << run.err;
  const auto plan = run.json();
  ASSERT_EQ(plan["positions"].size(), 3u);
  EXPECT_EQ(plan["minutes"], 6);
  for (const auto& p : plan["positions"]) {
    for (const char* key : {"id", "artefact", "place", "center", "direction"})
      EXPECT_TRUE(p.contains(key)) << key;
    // R12's field: 300 × 200 × 150 mm about 600 mm.
    EXPECT_LE(std::abs(p["center"][0].get<double>()), 150);
    EXPECT_LE(std::abs(p["center"][1].get<double>()), 100);
    EXPECT_LE(std::abs(p["center"][2].get<double>() - 600), 75);
  }
  for (const auto& l : plan["detection_limits"]) {
    EXPECT_GT(l["value"], 0);
    EXPECT_GT(l["worst_sd"], 0);
  }
  std::ifstream page(session() / "plan.html"), sheet(session() / "plan.pdf");
  const std::string html{std::istreambuf_iterator<char>(page), {}};
  const std::string pdf{std::istreambuf_iterator<char>(sheet), {}};
  EXPECT_NE(html.find("P03"), std::string::npos);
  EXPECT_NE(html.find("photosensitive"), std::string::npos);
  EXPECT_EQ(html.find("<script"), std::string::npos);
  EXPECT_TRUE(pdf.starts_with("%PDF-"));
  EXPECT_TRUE(fs::exists(session() / "plan.toml"));
}

TEST(PlanCommand, EndsWith3WhereTheArtefactsCannotServe) {
  const fs::path dir = scratch_folder("plan_short");
  fs::copy(session(), dir / "s", fs::copy_options::recursive);
  fs::remove_all(dir / "s/artefacts");
  fs::create_directory(dir / "s/artefacts");
  fs::copy_file(fs::path(RIGPROOF_SOURCE_DIR) / "fixtures/artefacts/bar-1000-11.toml",
                dir / "s/artefacts/bar-1000-11.toml");
  const ProgramRun run = run_program({"plan", dir / "s"});
  EXPECT_EQ(run.code, 3) << run.out << run.err;
  EXPECT_NE(run.err.find("too long"), std::string::npos) << run.err;
}

TEST(PlanCommand, RefusesWhatItCannotPlan) {
  EXPECT_EQ(run_program({"plan"}, scratch_folder("plan_none")).code, 64);
  EXPECT_EQ(run_program({"plan", "nowhere"}).code, 66);
  EXPECT_EQ(run_program({"plan", "--rig", "R99/300"}).code, 66);
  EXPECT_EQ(run_program({"plan", "--rig", "R12/999"}).code, 78);
}

}  // namespace
}  // namespace rigproof
