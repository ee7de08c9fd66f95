// The quick check between two whole tests, as a line controller uses it: three scans, an exit code,
// a point on the chart, and a suspect window when it fails. The scans come from the virtual rig
// with its marks taken off, since simulated sessions never enter the history.
#include <algorithm>
#include <fstream>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <stdlib.h>
#include <sys/resource.h>

#include "app/program.h"
#include "base/input_file.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;

std::string without_lines(std::string text, const std::string& start) {
  for (auto at = text.find(start); at != std::string::npos; at = text.find(start))
    text.erase(at, text.find('\n', at) + 1 - at);
  return text;
}

void put(const fs::path& file, const std::string& content) {
  std::ofstream(file, std::ios::binary) << content;
}

class Interim : public testing::Test {
 protected:
  void SetUp() override {
    dir_ = scratch_folder("interim");
    ::setenv("RIGPROOF_HOME", (dir_ / "home").c_str(), 1);
  }
  void TearDown() override {
    ::unsetenv("RIGPROOF_HOME");
    fs::remove_all(dir_);
  }

  /// One check of a day; returns the exit code of assess.
  int check(const std::string& day, int seed, const std::vector<std::string>& fault = {}) {
    std::vector<std::string> words{"demo",
                                   "--procedure",
                                   "interim",
                                   "--points",
                                   "40000",
                                   "--out",
                                   day,
                                   "--seed",
                                   std::to_string(seed),
                                   "--quiet"};
    for (const auto& f : fault) words.insert(words.end(), {"--fault", f});
    EXPECT_LE(run_program(words, dir_).code, 3);
    const fs::path session = dir_ / day;
    for (const auto& entry : std::vector<fs::directory_entry>(fs::directory_iterator(session), {}))
      if (entry.path().filename().string().starts_with("out")) fs::remove_all(entry);
    std::string text = read_text(session / "session.toml");
    for (const char* line : {"simulated", "id =", "kind =", "date ="})
      text = without_lines(text, line);
    put(session / "session.toml",
        "id = \"" + day + "-R12-300-interim\"\nkind = \"interim\"\ndate = " + day + "\n" + text);
    put(session / "rig.toml", without_lines(read_text(session / "rig.toml"), "simulated"));
    for (const auto& scan : fs::directory_iterator(session / "scans"))
      put(scan.path(), without_lines(read_text(scan.path(), 64u << 20), "comment simulated"));
    // Wide for form and size: this is about the way of the values, not about the rig.
    put(session / "limits.toml",
        "set_by = \"test\"\ndate = 2026-01-01\nrule = \"proven\"\n[mm]\nprobing_form = 0.3\n"
        "probing_size = 0.1\nsphere_spacing = 0.1\nflatness = 0.3\n");
    const ProgramRun run = run_program({"assess", day, "--json"}, dir_);
    if (run.code <= 3) {
      EXPECT_EQ(run.json()["scans"].size(), 3u);
    } else {
      ADD_FAILURE() << run.err;
    }
    return run.code;
  }

  fs::path dir_;
};

double seconds_of_children() {
  rusage used{};
  ::getrusage(RUSAGE_CHILDREN, &used);
  return static_cast<double>(used.ru_utime.tv_sec + used.ru_stime.tv_sec) +
         1e-6 * static_cast<double>(used.ru_utime.tv_usec + used.ru_stime.tv_usec);
}

// A folder of exports and no file written by hand. Processor time, which other work cannot stretch.
TEST_F(Interim, ThreeScansInAFolderAreOneLineWithinTenSeconds) {
  run_program({"demo", "--procedure", "interim", "--points", "300000", "--out", "s", "--quiet"},
              dir_);
  fs::create_directories(dir_ / "home");
  fs::rename(dir_ / "s/artefacts", dir_ / "home/artefacts");
  fs::rename(dir_ / "s/scans", dir_ / "export");
  fs::remove_all(dir_ / "s");
#ifdef RIGPROOF_SANITIZED
  constexpr double most = 100;  // instrumented code is several times slower
#else
  constexpr double most = 10;
#endif
  const double before = seconds_of_children();
  const ProgramRun run = run_program(
      {"assess", "export", "--rig", "R12/300", "--kind", "interim", "--limit", "0.5"}, dir_);
  EXPECT_LT(seconds_of_children() - before, most);
  EXPECT_EQ(run.code, 0) << run.err;
  EXPECT_EQ(std::ranges::count(run.out, '\n'), 1) << run.out;
  EXPECT_THAT(run.out, testing::StartsWith("R12/300 interim: WITHIN LIMITS")) << run.out;
}

TEST_F(Interim, ThreeScansGiveAVerdictAChartAndAnExitCode) {
  EXPECT_EQ(check("2026-03-14", 1), 0);
  EXPECT_EQ(check("2026-03-21", 2), 0);
  // 1 ‰ of scale is 250 µm of the bar of 250 mm: far outside 100 µm.
  EXPECT_EQ(check("2026-03-28", 3, {"board-pitch=1000"}), 1);

  const ProgramRun trend = run_program({"trend", "R12/300", "--json"}, dir_);
  ASSERT_EQ(trend.code, 0) << trend.err;
  const auto j = trend.json();
  ASSERT_EQ(j["checks"].size(), 3u);
  const auto& spacing = j["series"][0];
  EXPECT_EQ(spacing["id"], "sphere_spacing");
  EXPECT_LT(std::abs(spacing["points"][0]["value"].get<double>()), 0.05);
  EXPECT_GT(std::abs(spacing["points"][2]["value"].get<double>()), 0.1);
  ASSERT_EQ(j["suspect"].size(), 1u);
  EXPECT_EQ(j["suspect"][0]["from"]["day"], "2026-03-21");
  EXPECT_EQ(j["suspect"][0]["to"]["day"], "2026-03-28");

  const ProgramRun rigs = run_program({"rigs", "--on", "2026-03-30"}, dir_);
  EXPECT_EQ(rigs.code, 1);
  EXPECT_THAT(rigs.out, HasSubstr("R12/300"));
  EXPECT_THAT(rigs.out, HasSubstr("2026-03-21 to 2026-03-28"));

  // The history is made again from the folders alone, entry for entry.
  run_program({"rigs", "--export", "a.jsonl"}, dir_);
  ::setenv("RIGPROOF_STORE", (dir_ / "again.db").c_str(), 1);
  const ProgramRun rebuilt = run_program({"rigs", "--rebuild", "."}, dir_);
  EXPECT_EQ(rebuilt.code, 1);
  EXPECT_THAT(rebuilt.err, HasSubstr("3 entries are new"));
  const auto again = run_program({"trend", "R12/300", "--json"}, dir_).json();
  EXPECT_EQ(again["checks"], j["checks"]);
  EXPECT_EQ(again["series"], j["series"]);
  EXPECT_THAT(run_program({"rigs", "--import", "a.jsonl"}, dir_).err, HasSubstr("0 of 3 entries"));
  ::unsetenv("RIGPROOF_STORE");
}

}  // namespace
}  // namespace rigproof
