// Runs that are killed at any moment, and disks that are full: what was there stays as it was, and
// the next run works. RIGPROOF_KILLS kills of each kind (tests/slow.sh: 200; by default a few).
#include <chrono>
#include <fstream>
#include <random>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <signal.h>
#include <stdlib.h>

#include "app/program.h"
#include "base/input_file.h"
#include "record/made_history.h"
#include "seal/manifest.h"
#include "seal/seal.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;
using testing::AnyOf;
using testing::HasSubstr;

int kills() {
  const char* wanted = ::getenv("RIGPROOF_KILLS");
  return wanted ? std::atoi(wanted) : 5;
}

class Mishaps : public testing::Test {
 protected:
  static void SetUpTestSuite() {
    made_ = scratch_folder("mishaps");
    ASSERT_LE(
        run_program(
            {"demo", "--procedure", "interim", "--points", "5000", "--out", "session", "--quiet"},
            made_)
            .code,
        3);
  }
  static void TearDownTestSuite() { fs::remove_all(made_); }
  void SetUp() override {
    dir_ = scratch_folder("mishap");
    ::setenv("RIGPROOF_HOME", (dir_ / "home").c_str(), 1);
    fs::copy(made_ / "session", dir_ / "session", fs::copy_options::recursive);
  }
  void TearDown() override {
    ::unsetenv("RIGPROOF_HOME");
    fs::remove_all(dir_);
  }

  /// Digests of all files below, or of the folder "out" alone.
  std::string state(const std::string& below = "out") const {
    return sha256sum_text(
        describe(dir_ / "session" / below, files_below(dir_ / "session" / below)));
  }
  void put_history(const std::string& name, int from, int to) const {
    std::ofstream out(dir_ / name);
    for (int i = from; i < to; ++i) out << to_json_line(made_check("R1", i, 0.001));
  }
  int hidden() const {
    int n = 0;
    for (const auto& entry : fs::directory_iterator(dir_ / "session"))
      n += entry.path().filename().string().starts_with('.');
    return n;
  }
  /// Microseconds that the whole run takes.
  int duration(const std::vector<std::string>& words) const {
    const auto start = std::chrono::steady_clock::now();
    run_program(words, dir_);
    return static_cast<int>(std::chrono::duration_cast<std::chrono::microseconds>(
                                std::chrono::steady_clock::now() - start)
                                .count());
  }
  ProgramRun killed(const std::vector<std::string>& words, int longest_us) {
    return run_program(
        words,
        dir_,
        Mishap{SIGKILL, std::uniform_int_distribution<int>(0, longest_us)(random_), 0});
  }

  static fs::path made_;
  fs::path dir_;
  std::mt19937_64 random_{20260314};
};
fs::path Mishaps::made_;

TEST_F(Mishaps, AssessKilledAtAnyMomentLosesNothing) {
  const std::vector<std::string> words{"assess", "session", "--quiet"};
  const std::string before = state();
  const int longest = duration(words);
  for (int i = 0; i < kills(); ++i) {
    killed(words, longest);
    EXPECT_EQ(state(), before);
    const int left = hidden();
    const ProgramRun next = run_program(words, dir_);
    EXPECT_LE(next.code, 3) << next.err;
    EXPECT_EQ(hidden(), 0);
    if (left > 0) {
      EXPECT_THAT(next.err, HasSubstr("interrupted run"));
    }
  }
  // What appeared is whole: every file of the first run is in every other.
  for (const auto& run : fs::directory_iterator(dir_ / "session")) {
    if (!run.path().filename().string().starts_with("out-")) continue;
    for (const auto& file : fs::directory_iterator(dir_ / "session/out"))
      EXPECT_TRUE(fs::exists(run.path() / file.path().filename())) << run << file;
    fs::remove_all(run);
  }
}

TEST_F(Mishaps, SealKilledAtAnyMomentIsMadeAgainOrHolds) {
  const std::vector<std::string> words{"seal", "session", "--key", "lab.key", "--by", "A. Name"};
  const int longest = duration(words);
  for (int i = 0; i < kills(); ++i) {
    fs::remove_all(dir_ / "session");
    fs::copy(made_ / "session", dir_ / "session", fs::copy_options::recursive);
    killed(words, longest);
    const ProgramRun again = run_program(words, dir_);
    EXPECT_THAT(again.code, AnyOf(0, 64)) << again.err;  // 64: it was sealed before the kill
    const ProgramRun audit = run_program({"audit", "session", "--hashes-only"}, dir_);
    EXPECT_EQ(audit.code, 0) << audit.out << audit.err;
  }
}

TEST_F(Mishaps, StoreKilledAtAnyMomentHoldsWholeEntries) {
  put_history("many.jsonl", 0, 400);
  const std::vector<std::string> words{"rigs", "--import", "many.jsonl", "--quiet"};
  const int longest = duration(words);
  for (int i = 0; i < kills(); ++i) {
    for (const auto& entry : fs::directory_iterator(dir_ / "home")) fs::remove(entry);
    killed(words, longest);
    const ProgramRun half = run_program({"trend", "R1/300", "--json"}, dir_);
    EXPECT_THAT(half.code, AnyOf(0, 3)) << half.err;
    EXPECT_EQ(run_program(words, dir_).code, 0);
    EXPECT_EQ(run_program({"trend", "R1/300", "--json"}, dir_).json()["checks"].size(), 400u);
  }
}

TEST_F(Mishaps, AFullDiskChangesNothing) {
  const std::string before = state("");
  for (const unsigned long size : {1ul, 3000ul, 40'000ul, 120'000ul}) {
    const ProgramRun assess =
        run_program({"assess", "session", "--quiet"}, dir_, Mishap{0, 0, size});
    EXPECT_THAT(assess.code, AnyOf(73, 74)) << size << assess.err;
    const ProgramRun seal = run_program(
        {"seal", "session", "--key", "full.key", "--by", "A"}, dir_, Mishap{0, 0, size});
    if (size <= 40'000) {
      EXPECT_THAT(seal.code, AnyOf(73, 74)) << size << seal.err;
      EXPECT_FALSE(is_sealed(dir_ / "session"));
      fs::remove_all(dir_ / "session/seal");
      EXPECT_EQ(state(""), before) << size;
    }
  }
}

TEST_F(Mishaps, AFullDiskUnderTheStoreLosesNoEntry) {
  put_history("few.jsonl", 0, 20);
  ASSERT_EQ(run_program({"rigs", "--import", "few.jsonl", "--quiet"}, dir_).code, 0);
  put_history("more.jsonl", 20, 400);
  const auto size = fs::file_size(dir_ / "home/store.db");
  const ProgramRun full = run_program({"rigs", "--import", "more.jsonl", "--quiet"},
                                      dir_,
                                      Mishap{0, 0, static_cast<unsigned long>(size) + 20'000});
  EXPECT_EQ(full.code, 74) << full.err;
  const auto checks = run_program({"trend", "R1/300", "--json"}, dir_).json()["checks"].size();
  EXPECT_GE(checks, 20u);
  EXPECT_EQ(run_program({"rigs", "--import", "more.jsonl", "--quiet"}, dir_).code, 0);
  EXPECT_EQ(run_program({"trend", "R1/300", "--json"}, dir_).json()["checks"].size(), 400u);
}

}  // namespace
}  // namespace rigproof
