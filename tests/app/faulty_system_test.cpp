// Systems that fail under the program (faulty_system.c): disks that cannot be read or are full,
// files that change, clocks that jump. What the program says then, and that nothing is left.
#include <algorithm>
#include <fstream>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <stdlib.h>

#include "app/program.h"
#include "base/input_file.h"
#include "seal/manifest.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;
using testing::AnyOf;
using testing::HasSubstr;

class FaultySystem : public testing::Test {
 protected:
  static void SetUpTestSuite() {
    made_ = scratch_folder("faulty_made");
    const ProgramRun demo = run_program(
        {"demo", "--procedure", "interim", "--points", "40000", "--out", "session", "--quiet"},
        made_);
    ASSERT_EQ(demo.code, 0) << demo.err;
  }
  static void TearDownTestSuite() { fs::remove_all(made_); }
  void SetUp() override {
#ifdef RIGPROOF_SANITIZED
    GTEST_SKIP() << "the sanitizers want to be loaded first";
#endif
    dir_ = scratch_folder("faulty");
    ::setenv("RIGPROOF_HOME", (dir_ / "home").c_str(), 1);
    fs::copy(made_ / "session", dir_ / "session", fs::copy_options::recursive);
    for (const auto& entry : fs::directory_iterator(dir_ / "session/scans"))
      if (scan_.empty() || entry.path() < scan_) scan_ = entry.path();
  }
  void TearDown() override {
    ::unsetenv("RIGPROOF_HOME");
    fs::remove_all(dir_);
  }

  ProgramRun run(const std::string& fault, const std::vector<std::string>& words) const {
    return run_faulty(fault, words, dir_);
  }
  /// Digests of every file of the session.
  std::string state() const {
    return sha256sum_text(describe(dir_ / "session", files_below(dir_ / "session")));
  }
  std::string results(const std::string& run = "out") const {
    return read_text(dir_ / "session" / run / "results.json");
  }

  static fs::path made_;
  fs::path dir_, scan_;
};
fs::path FaultySystem::made_;

TEST_F(FaultySystem, AScanThatCannotBeReadIsSaidWithItsPlace) {
  int of_the_scan = 0;
  for (int n = 1;; n += n < 6 ? 1 : 17) {
    const ProgramRun look = run("read:" + std::to_string(n), {"look", scan_});
    if (look.code == 0) break;  // that many reads are never made
    EXPECT_EQ(look.code, 74) << look.err;
    EXPECT_THAT(look.err, HasSubstr(": reading stopped at byte"));
    EXPECT_THAT(look.err, HasSubstr("Input/output error"));
    of_the_scan += look.err.find(scan_.filename().string()) != std::string::npos;
  }
  EXPECT_GE(of_the_scan, 1);
}

// Whatever cannot be read is either an input of the session, which ends the run, or a scan, which
// is a finding.
TEST_F(FaultySystem, AReadThatFailsAtAnyMomentNeverGivesAnotherVerdict) {
  const std::string before = state(), usual = results();
  int ended = 0, findings = 0;
  for (int n = 1; n < 1000; n += n < 6 ? 1 : 97) {
    const ProgramRun assess = run("read:" + std::to_string(n), {"assess", "session", "--quiet"});
    EXPECT_THAT(assess.code, AnyOf(0, 3, 74)) << n << assess.err;
    ended += assess.code == 74;
    findings += assess.code == 3;
    if (assess.code == 0) {
      EXPECT_EQ(results("out-2"), usual) << n;
    } else if (assess.code == 3) {
      EXPECT_THAT(results("out-2"), HasSubstr("\"unreadable\"")) << n;
    } else {
      EXPECT_EQ(state(), before) << n;
    }
    fs::remove_all(dir_ / "session/out-2");
  }
  EXPECT_GE(ended, 3);
  EXPECT_GE(findings, 1);
}

TEST_F(FaultySystem, ShortReadsAndWritesChangeNothing) {
  ASSERT_EQ(run("short:1000", {"report", "session", "--quiet"}).code, 0);
  ASSERT_EQ(run_program({"report", "session", "--quiet"}, dir_).code, 0);
  for (const auto& entry : fs::directory_iterator(dir_ / "session/out-2"))
    EXPECT_EQ(read_text(entry.path()), read_text(dir_ / "session/out-3" / entry.path().filename()))
        << entry.path();
  const ProgramRun usual = run_program({"look", scan_, "--json"}, dir_);
  for (const char* most : {"short:1", "short:4097"}) {
    const ProgramRun slow = run(most, {"look", scan_, "--json"});
    EXPECT_EQ(slow.code, usual.code);
    EXPECT_EQ(slow.out, usual.out) << most;
  }
}

TEST_F(FaultySystem, AFileThatChangesWhileItIsReadIsRefused) {
  int refused = 0;
  for (int n = 1; n < 8; ++n) {
    const ProgramRun look = run("touch:" + std::to_string(n), {"look", scan_});
    EXPECT_THAT(look.code, AnyOf(0, 74)) << n;  // 0: that read was of another file, or the last
    if (look.code != 74) continue;
    ++refused;
    EXPECT_THAT(look.err, HasSubstr("changed while it was read"));
  }
  EXPECT_GE(refused, 2);
}

TEST_F(FaultySystem, WhatCannotBeWrittenLeavesNothingBehind) {
  const std::string before = state();
  for (const char* fault : {"write", "sync", "create", "rename"}) {
    int failed = 0;
    for (int n = 1; n < 60; n += n < 4 ? 1 : 13) {
      const ProgramRun report =
          run(std::string(fault) + ":" + std::to_string(n), {"report", "session", "--quiet"});
      if (report.code == 0) {
        fs::remove_all(dir_ / "session/out-2");
        break;
      }
      ++failed;
      EXPECT_THAT(report.code, AnyOf(73, 74)) << fault << n << report.err;
      EXPECT_FALSE(report.err.empty());
      EXPECT_EQ(state(), before) << fault << n;
    }
    EXPECT_GE(failed, 1) << fault;
  }
}

// A folder of scans becomes a session of its own, or nothing.
TEST_F(FaultySystem, ABareFolderBecomesAWholeSessionOrNone) {
  fs::create_directory(dir_ / "bare");
  fs::copy_file(scan_, dir_ / "bare" / scan_.filename());
  const auto left = [&] {
    return std::ranges::count_if(fs::directory_iterator(dir_), [](const auto& entry) {
      return entry.path().filename().string().starts_with("rigproof-");
    });
  };
  for (const char* fault : {"create", "rename", "sync"}) {
    const ProgramRun run_ = run(std::string(fault) + ":1", {"assess", "bare", "--ball", "30"});
    EXPECT_THAT(run_.code, AnyOf(73, 74)) << fault << run_.err;
    EXPECT_EQ(left(), 0) << fault;
  }
  EXPECT_LE(run_program({"assess", "bare", "--ball", "30", "--quiet"}, dir_).code, 3);
  EXPECT_EQ(left(), 1);
}

// The clock jumps ten years to and fro with every look at it.
TEST_F(FaultySystem, AJumpingClockChangesNoByteOfTheResults) {
  const ProgramRun assess = run("clock:315360000", {"assess", "session", "--quiet"});
  ASSERT_LE(assess.code, 3) << assess.err;
  EXPECT_EQ(results("out-2"), results());
  for (const char* name : {"certificate.pdf", "report.html", "values.csv"})
    EXPECT_EQ(read_text(dir_ / "session/out-2" / name), read_text(dir_ / "session/out" / name))
        << name;
}

}  // namespace
}  // namespace rigproof
