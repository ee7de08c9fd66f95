// The record as a person uses it: assess writes it, trend and rigs read it.
#include <fstream>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include "app/program.h"
#include "base/input_file.h"
#include "record/made_history.h"
#include "record/store.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;

/// Processor time of all programs run so far.
double children_seconds() {
  rusage used{};
  ::getrusage(RUSAGE_CHILDREN, &used);
  return static_cast<double>(used.ru_utime.tv_sec + used.ru_stime.tv_sec) +
         1e-6 * static_cast<double>(used.ru_utime.tv_usec + used.ru_stime.tv_usec);
}

#ifdef RIGPROOF_SANITIZED
constexpr double kAnswer_s = 10;  // sanitizers cost several times the work itself
#else
constexpr double kAnswer_s = 1;
#endif

class History : public testing::Test {
 protected:
  void SetUp() override {
    dir_ = scratch_folder("history");
    ::setenv("RIGPROOF_HOME", (dir_ / "home").c_str(), 1);
  }
  void TearDown() override {
    ::unsetenv("RIGPROOF_HOME");
    ::unsetenv("RIGPROOF_STORE");
    fs::remove_all(dir_);
  }
  /// Checks every ten days; the error in mm grows by `drift` a check.
  void import(int checks, double drift, double start = 0.001, const std::string& rig = "R1") {
    std::ofstream out(dir_ / "history.jsonl");
    for (int i = 0; i < checks; ++i)
      out << to_json_line(made_check(rig, 10 * i, start + drift * i + 1e-4 * (i * i % 3)));
    out.close();
    const ProgramRun run = run_program({"rigs", "--import", "history.jsonl"}, dir_);
    EXPECT_NE(run.code, 65) << run.err;
  }
  /// A folder with one scan of a bar that does not say it is simulated.
  ProgramRun assess_bar() {
    fs::create_directories(dir_ / "scans");
    std::string scan =
        read_text(fs::path(RIGPROOF_SOURCE_DIR) / "demo_scans/bar-250.ply", 64u << 20);
    const std::string mark = "SIMULATED";
    scan.replace(scan.find(mark), mark.size(), "pretended");
    std::ofstream(dir_ / "scans/a.ply", std::ios::binary) << scan;
    return run_program(
        {"assess", "scans", "--bar", "250", "--rig", "R12/300", "--limit", "0.1", "--json"}, dir_);
  }

  fs::path dir_;
};

TEST_F(History, AnAssessedSessionIsOnRecordOnce) {
  const ProgramRun run = assess_bar();
  ASSERT_LE(run.code, 3) << run.err;
  const ProgramRun trend = run_program({"trend", "R12/300", "--json"}, dir_);
  ASSERT_EQ(trend.code, 0) << trend.err;
  const auto j = trend.json();
  ASSERT_EQ(j["checks"].size(), 1u);
  EXPECT_EQ(j["checks"][0]["verdict"], run.json()["verdict"]);
  const auto expected = run.json()["characteristics"][0]["values"][0]["value"].get<double>();
  EXPECT_EQ(j["series"][0]["points"][0]["value"].get<double>(), expected);
}

TEST_F(History, SimulatedSessionsNeverEnterIt) {
  const ProgramRun demo = run_program({"demo", "--procedure", "interim", "--points", "5000"}, dir_);
  ASSERT_LE(demo.code, 3) << demo.err;
  EXPECT_EQ(run_program({"rigs"}, dir_).code, 3);
}

TEST_F(History, AStoreThatFailsNeverFailsAssess) {
  const ProgramRun good = assess_bar();
  for (const std::string& store : {std::string("/dev/null/x"),
                                   (dir_ / "scans").string(),
                                   std::string("postgresql:///none?host=/nowhere")}) {
    ::setenv("RIGPROOF_STORE", store.c_str(), 1);
    const ProgramRun run = assess_bar();
    EXPECT_EQ(run.code, good.code) << store;
    EXPECT_EQ(run.json()["verdict"], good.json()["verdict"]);
    EXPECT_THAT(run.err, HasSubstr("not recorded in the history"));
  }
}

TEST_F(History, NothingOnRecordSaysSoAndMakesNoFile) {
  for (const char* command : {"trend", "rigs"}) {
    std::vector<std::string> words{command};
    if (words[0] == "trend") words.push_back("R1/300");
    const ProgramRun run = run_program(words, dir_);
    EXPECT_EQ(run.code, 3);
    EXPECT_THAT(run.err, HasSubstr("on record"));
  }
  EXPECT_FALSE(fs::exists(dir_ / "home/store.db"));
  import(3, 0);
  const ProgramRun other = run_program({"trend", "R9/300"}, dir_);
  EXPECT_EQ(other.code, 3);
  EXPECT_THAT(other.err, HasSubstr("R1/300"));
}

TEST_F(History, TrendShowsChartForecastAndEvents) {
  import(15, 0.001);
  EXPECT_EQ(
      run_program({"trend", "R1", "--event", "knock", "--on", "2026-02-15", "--note", "<trolley>"},
                  dir_)
          .code,
      0);
  const ProgramRun run = run_program({"trend", "R1/300", "--html", "t.html"}, dir_);
  EXPECT_EQ(run.code, 0);
  EXPECT_THAT(run.out, HasSubstr("•"));
  EXPECT_THAT(run.out, HasSubstr("reaches the limit"));
  EXPECT_THAT(run.out, HasSubstr("2026-02-15 knock <trolley>"));
  const std::string page = read_text(dir_ / "t.html");
  EXPECT_THAT(page, HasSubstr("<svg"));
  EXPECT_THAT(page, HasSubstr("&lt;trolley&gt;"));
  EXPECT_THAT(page, testing::Not(HasSubstr("<trolley>")));
  EXPECT_EQ(run_program({"trend", "R1/300", "--event", "theft"}, dir_).code, 64);
}

TEST_F(History, RigsEndsWithOneWhereARigIsOut) {
  import(3, 0);
  const ProgramRun good = run_program({"rigs", "--on", "2026-02-01"}, dir_);
  EXPECT_EQ(good.code, 0);
  EXPECT_THAT(good.out, HasSubstr("R1/300"));
  import(2, 0, 0.05, "R2");
  const ProgramRun bad = run_program(
      {"rigs", "--json", "--csv", "r.csv", "--html", "r.html", "--on", "2026-02-01"}, dir_);
  EXPECT_EQ(bad.code, 1);
  EXPECT_THAT(bad.err, HasSubstr("outside"));
  EXPECT_EQ(bad.json()["rigs"].size(), 2u);
  EXPECT_THAT(read_text(dir_ / "r.csv"), HasSubstr("R1,300,"));
  EXPECT_THAT(read_text(dir_ / "r.html"), HasSubstr("R1/300"));
}

TEST_F(History, ExportAndImportAreTheSameHistory) {
  import(5, 0.0005);
  run_program({"trend", "R1/300", "--event", "service", "--note", "new lamp"}, dir_);
  run_program({"rigs", "--export", "a.jsonl"}, dir_);
  ::setenv("RIGPROOF_STORE", (dir_ / "other.db").c_str(), 1);
  run_program({"rigs", "--import", "a.jsonl"}, dir_);
  run_program({"rigs", "--import", "a.jsonl", "--export", "b.jsonl"}, dir_);
  EXPECT_EQ(read_text(dir_ / "a.jsonl"), read_text(dir_ / "b.jsonl"));
  // A file with a bad line changes nothing.
  std::ofstream(dir_ / "bad.jsonl") << to_json_line(made_check("R7", 1, 0)) << "{\n";
  const ProgramRun bad = run_program({"rigs", "--import", "bad.jsonl"}, dir_);
  EXPECT_EQ(bad.code, 65);
  EXPECT_THAT(bad.err, HasSubstr("bad.jsonl:2"));
  EXPECT_EQ(run_program({"trend", "R7/300"}, dir_).code, 3);
  // Every rig together is no trend.
  for (const char* half : {"/300", "R1/", "/"})
    EXPECT_EQ(run_program({"trend", half, "--event", "knock"}, dir_).code, 64) << half;
  // What is no file is said and not waited for.
  ASSERT_EQ(::mkfifo((dir_ / "pipe").c_str(), 0600), 0);
  for (const char* none : {".", "pipe", "absent"})
    EXPECT_EQ(run_program({"rigs", "--import", none}, dir_).code, 66) << none;
}

// A store of several stations may hold what this program would not take in.
TEST_F(History, ForeignWordsReachTerminalAndTableHarmlessly) {
  {
    Store store((dir_ / "foreign.db").string());
    for (int i = 0; i < 3; ++i) {
      HistoryCheck check = made_check("R1", 10 * i, 0.001);
      check.verdict = "\x1b[2J,\"good\"";
      check.findings.push_back({"=1+1\x1b[31m", "\x1b", "scans/1.ply"});
      for (HistoryValue& value : check.values) value.characteristic = "\x1b]0;title\x07";
      check.id = digest_of(check);
      store.add(check);
    }
  }
  ::setenv("RIGPROOF_STORE", (dir_ / "foreign.db").c_str(), 1);
  const ProgramRun rigs = run_program({"rigs", "--csv", "r.csv", "--on", "2026-02-01"}, dir_);
  const ProgramRun trend = run_program({"trend", "R1/300"}, dir_);
  const std::string table = read_text(dir_ / "r.csv");
  EXPECT_EQ(rigs.code, 0) << rigs.err;
  EXPECT_EQ(trend.code, 0) << trend.err;
  for (const std::string& text : {rigs.out, rigs.err, trend.out, trend.err, table})
    EXPECT_EQ(text.find_first_of("\x1b\x07"), std::string::npos) << text;
  EXPECT_THAT(rigs.out, HasSubstr("\\x1b[2J"));
  EXPECT_THAT(rigs.out, HasSubstr("=1+1\\x1b[31m"));
  EXPECT_THAT(trend.out, HasSubstr("\\x1b]0;title\\x07"));
  EXPECT_THAT(table, HasSubstr(R"("\x1b[2J,""good""")"));
  EXPECT_THAT(table, HasSubstr(R"(,'=1+1\x1b[31m)"));
  // None of it is taken in.
  ASSERT_EQ(run_program({"rigs", "--export", "foreign.jsonl"}, dir_).code, 0);
  ::setenv("RIGPROOF_STORE", (dir_ / "own.db").c_str(), 1);
  const ProgramRun refused = run_program({"rigs", "--import", "foreign.jsonl"}, dir_);
  EXPECT_EQ(refused.code, 65);
  EXPECT_THAT(refused.err, HasSubstr("foreign.jsonl:1"));
}

// Processor time, so that other work on the machine does not count.
TEST_F(History, TenThousandSessionsAnswerWithinASecond) {
  {
    std::ofstream out(dir_ / "many.jsonl");
    for (int i = 0; i < 10'000; ++i)
      out << to_json_line(made_check("R" + std::to_string(i % 10), i / 10, 1e-4 * (i % 7), 10));
  }
  ::setenv("RIGPROOF_STORE", ("/dev/shm/rigproof-many-" + std::to_string(::getpid())).c_str(), 1);
  ASSERT_EQ(run_program({"rigs", "--import", "many.jsonl", "--quiet"}, dir_).code, 0);
  for (const std::vector<std::string>& words :
       {std::vector<std::string>{"rigs"}, {"trend", "R3/300"}}) {
    const double before = children_seconds();
    EXPECT_EQ(run_program(words, dir_).code, 0);
    EXPECT_LT(children_seconds() - before, kAnswer_s) << words[0];
  }
  for (const char* end : {"", "-wal", "-shm"})
    fs::remove(std::string(::getenv("RIGPROOF_STORE")) + end);
}

}  // namespace
}  // namespace rigproof
