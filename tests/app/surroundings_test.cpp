// Where the program runs must not show in what it writes: language, time zone, little memory,
// stops by the user.
#include <fstream>
#include <random>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <signal.h>
#include <stdlib.h>

#include "app/program.h"
#include "base/input_file.h"
#include "seal/manifest.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;
using testing::AnyOf;
using testing::HasSubstr;

/// An environment variable for one scope.
class Setting {
 public:
  Setting(const char* name, const std::string& value) : name_(name) {
    ::setenv(name, value.c_str(), 1);
  }
  ~Setting() { ::unsetenv(name_); }
  Setting(const Setting&) = delete;
  Setting& operator=(const Setting&) = delete;

 private:
  const char* name_;
};

class Surroundings : public testing::Test {
 protected:
  void SetUp() override {
    dir_ = scratch_folder("surroundings");
    home_.emplace("RIGPROOF_HOME", (dir_ / "home").string());
    const ProgramRun demo = run_program(
        {"demo", "--procedure", "interim", "--points", "5000", "--out", "session", "--quiet"},
        dir_);
    ASSERT_LE(demo.code, 3) << demo.err;
  }
  void TearDown() override { fs::remove_all(dir_); }

  fs::path scan() const { return fs::directory_iterator(dir_ / "session/scans")->path(); }
  /// Assessed again, every document has the bytes of the first run.
  void expect_same_bytes() const {
    const ProgramRun again = run_program({"assess", "session", "--quiet"}, dir_);
    ASSERT_LE(again.code, 3) << again.err;
    int compared = 0;
    for (const auto& entry : fs::directory_iterator(dir_ / "session/out")) {
      EXPECT_EQ(read_text(entry.path(), 64u << 20),
                read_text(dir_ / "session/out-2" / entry.path().filename(), 64u << 20))
          << entry.path();
      ++compared;
    }
    EXPECT_GT(compared, 5);
  }

  fs::path dir_;
  std::optional<Setting> home_;
};

TEST_F(Surroundings, ALanguageWithDecimalCommasChangesNoByte) {
  const fs::path locales = dir_ / "locales";
  fs::create_directories(locales);
  const std::string make =
      "localedef -i de_DE -f UTF-8 '" + (locales / "de_DE.UTF-8").string() + "' >/dev/null 2>&1";
  if (std::system(make.c_str()) != 0)
    GTEST_SKIP() << "no language can be made here (package locales)";
  const Setting path("LOCPATH", locales.string()), all("LC_ALL", "de_DE.UTF-8");
  // The language is there and does write commas.
  ASSERT_EQ(std::system("test \"$(/usr/bin/printf %.1f 1,5)\" = 1,5"), 0);
  expect_same_bytes();
}

TEST_F(Surroundings, TheTimeZoneChangesNoByte) {
  const Setting zone("TZ", "LHT-14:30");  // farther east than any
  expect_same_bytes();
}

TEST_F(Surroundings, AStopAtAnyMomentLeavesNothingAndSaysSo) {
  const std::string before =
      sha256sum_text(describe(dir_ / "session", files_below(dir_ / "session")));
  std::mt19937 random(7);
  int stopped = 0;
  for (int i = 0; i < 12; ++i) {
    const int signal = i % 2 ? SIGINT : SIGTERM;
    const int after_us = std::uniform_int_distribution<int>(0, 400'000)(random);
    const ProgramRun run = run_program(
        {"assess", "session", "--quiet"}, dir_, Mishap{.signal = signal, .after_us = after_us});
    EXPECT_TRUE(run.code <= 3 || run.code == 128 + signal) << run.code << run.err;
    if (run.code > 3) {
      ++stopped;
      EXPECT_EQ(sha256sum_text(describe(dir_ / "session", files_below(dir_ / "session"))), before);
    }
    fs::remove_all(dir_ / "session/out-2");
  }
  EXPECT_GE(stopped, 1);
}

// 2 GiB of address space, with all libraries in it. The files take no space on disk.
TEST_F(Surroundings, LittleMemoryIsEnoughOrSaid) {
#ifdef RIGPROOF_SANITIZED
  GTEST_SKIP() << "the sanitizers themselves need more";
#endif
  constexpr std::uintmax_t points = 125'000'000;
  const auto look = [&](const std::string& more, std::uintmax_t record) {
    const fs::path file = dir_ / "large.ply";
    std::ofstream(file) << "ply\nformat binary_little_endian 1.0\nelement vertex " << points
                        << "\nproperty float x\nproperty float y\nproperty float z\n"
                        << more << "end_header\n";
    fs::resize_file(file, fs::file_size(file) + record * points);
    return run_program({"look", file, "--ball", "30"}, dir_, Mishap{.memory_kib = 2u << 20});
  };
  // 1.5 GB of points at one place: read from the file, nothing is there.
  const ProgramRun plain = look("", 12);
  EXPECT_EQ(plain.code, 3) << plain.err;
  // With a list in each vertex the coordinates are kept: 3 GB.
  const ProgramRun lists = look("property list uchar int more\n", 13);
  EXPECT_EQ(lists.code, 70) << lists.err;
  EXPECT_THAT(lists.err, HasSubstr("not enough memory"));
}

}  // namespace
}  // namespace rigproof
