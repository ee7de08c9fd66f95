#include <cstdint>
#include <fstream>

#include <gtest/gtest.h>
#include <sys/stat.h>

#include "app/program.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

void write(const fs::path& file, const std::string& content) {
  std::ofstream(file, std::ios::binary) << content;
}

constexpr char kPly[] =
    "ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\nproperty float "
    "z\n"
    "end_header\n";

// 4000 points all over a cube: neither round nor flat.
std::string scattered() {
  std::string cube;
  for (std::int64_t i = 0; i < 4000; ++i)
    cube += std::to_string(i * 7919 % 1009) + " " + std::to_string(i * 104729 % 997) + " " +
            std::to_string(i * 1299709 % 983 + 500) + "\n";
  return cube;
}

TEST(Program, HelpAndVersion) {
  EXPECT_EQ(run_program({"--help"}).code, 0);
  EXPECT_EQ(run_program({"look", "--help"}).code, 0);
  const ProgramRun version = run_program({"--version"});
  EXPECT_EQ(version.code, 0);
  EXPECT_TRUE(version.out.starts_with("rigproof "));
}

TEST(Program, WrongCommandLinesEndWith64) {
  for (const std::vector<std::string>& line : {std::vector<std::string>{},
                                               {"nothing"},
                                               {"look"},
                                               {"look", "a", "--ball"},
                                               {"look", "a", "--ball", "x"},
                                               {"look", "a", "--ball", "-3"},
                                               {"look", "a", "--plate", "300"},
                                               {"look", "a", "--whole", "cone"},
                                               {"look", "a", "--units", "furlong"},
                                               {"look", "a", "--color", "red"}}) {
    const ProgramRun run = run_program(line);
    EXPECT_EQ(run.code, 64) << testing::PrintToString(line) << run.err;
    EXPECT_FALSE(run.err.empty());
    EXPECT_TRUE(run.out.empty()) << run.out;
  }
}

TEST(Program, AWrongCommandIsNamed) {
  const ProgramRun run = run_program({"asses", "session"});
  EXPECT_EQ(run.code, 64);
  EXPECT_NE(run.err.find("there is no command \"asses\""), std::string::npos) << run.err;
  EXPECT_NE(run.err.find("\"assess\"?"), std::string::npos) << run.err;
  EXPECT_NE(run_program({"look", "a", "--ball"}).err.find("rigproof look --help"),
            std::string::npos);
}

// The second line of an error says what to do.
TEST(Program, EveryRefusalHasItsNextStep) {
  const fs::path dir = scratch_folder("next");
  write(dir / "session.toml", "schema = 1\nid = \"x\"\n");
  fs::create_directories(dir / "large");
  write(dir / "large/session.toml", std::string(std::size_t{33} << 20, '#'));
  for (const std::vector<std::string>& line :
       {std::vector<std::string>{"look", "a", "--whole", "cone"},
        {"demo", "--seed", "0.5"},
        {"demo", "--points", "3"},
        {"demo", "--fault", "toe-in=3@far-top-left"},
        {"demo", "--fault", "mirrored=3"},
        {"watch", "--settle", "0"},
        {"assess", "large"}}) {
    const ProgramRun run = run_program(line, dir);
    EXPECT_GE(run.code, 64) << testing::PrintToString(line);
    EXPECT_NE(run.err.find("\n  "), std::string::npos) << testing::PrintToString(line) << run.err;
  }
}

TEST(Program, BadFilesGiveOneClearErrorAndTheirCode) {
  const fs::path dir = scratch_folder("bad");
  write(dir / "empty.ply", "");
  write(dir / "truncated.ply", std::string(kPly) + "1 2 3\n");
  write(
      dir / "lies.ply",
      "ply\nformat binary_little_endian 1.0\nelement vertex 9223372036854775808\nproperty float x\n"
      "property float y\nproperty float z\nend_header\nxxxx");
  write(dir / "garbage.ply", std::string("\x00\xff\x17\x03", 4) + std::string(500, '\xfe'));
  write(dir / "nan.ply", std::string(kPly) + "nan nan nan\nnan nan nan\nnan nan nan\n");
  write(dir / "words.xyz", "this is no scan\nat all\n");
  ASSERT_EQ(::mkfifo((dir / "pipe.ply").c_str(), 0600), 0);
  const std::vector<std::pair<std::string, int>> cases{{"empty.ply", 65},
                                                       {"truncated.ply", 65},
                                                       {"lies.ply", 65},
                                                       {"garbage.ply", 65},
                                                       {"words.xyz", 65},
                                                       {"absent.ply", 66},
                                                       {"pipe.ply", 66},
                                                       {".", 66}};
  for (const auto& [name, code] : cases) {
    const ProgramRun run = run_program({"look", dir / name, "--ball", "30"});
    EXPECT_EQ(run.code, code) << name << run.err;
    EXPECT_FALSE(run.err.empty()) << name;
    EXPECT_TRUE(run.out.empty()) << name << run.out;
  }
}

// What, where and what to do, and no ball of zero diameter.
TEST(Program, AFileWithoutAFinitePointIsUnusableHoweverItIsLookedAt) {
  const fs::path dir = scratch_folder("no_point");
  write(dir / "nan.ply", std::string(kPly) + "nan nan nan\nnan nan nan\nnan nan nan\n");
  for (const std::vector<std::string>& how :
       {std::vector<std::string>{"--ball", "30"}, {}, {"--whole", "ball"}, {"--whole", "plate"}}) {
    std::vector<std::string> line{"look", dir / "nan.ply"};
    line.insert(line.end(), how.begin(), how.end());
    const ProgramRun run = run_program(line);
    EXPECT_EQ(run.code, 65) << testing::PrintToString(line) << run.err;
    EXPECT_TRUE(run.out.empty()) << run.out;
    EXPECT_NE(run.err.find("nan.ply"), std::string::npos) << run.err;
    EXPECT_NE(run.err.find("none of its 3 points"), std::string::npos) << run.err;
    EXPECT_NE(run.err.find("Export it again"), std::string::npos) << run.err;
  }
}

// Two points are on infinitely many spheres and planes, three on infinitely many spheres.
TEST(Program, WhatCannotBeFittedIsNotFound) {
  const fs::path dir = scratch_folder("two_points");
  write(dir / "two.xyz", "0 0 600\n10 0 600\n");
  write(dir / "three.xyz", "0 0 600\n10 0 600\n0 10 600\n");
  for (const auto& [file, kind] : {std::pair{"two.xyz", "ball"},
                                   std::pair{"two.xyz", "plate"},
                                   std::pair{"three.xyz", "ball"}}) {
    const ProgramRun run = run_program({"look", dir / file, "--whole", kind, "--json"});
    EXPECT_EQ(run.code, 3) << file << kind << run.out << run.err;
    const auto look = run.json();
    EXPECT_TRUE(look["features"].empty()) << look;
    ASSERT_EQ(look["findings"].size(), 1u) << look;
    EXPECT_EQ(look["findings"][0]["id"], "fit-failed");
  }
}

TEST(Program, HostileNamesReachNoTerminal) {
  const fs::path dir = scratch_folder("hostile");
  const std::string name = "a\x1b[31m\xff.ply";
  write(dir / name, std::string(kPly) + "1 2 3\n");
  const ProgramRun run = run_program({"look", dir / name, "--ball", "30"});
  EXPECT_EQ(run.code, 65);
  EXPECT_EQ(run.err.find('\x1b'), std::string::npos);
}

// A name is printed on the line that speaks of it: its line ends must not start lines of their own.
TEST(Program, ANewlineInANameBreaksNoLine) {
  const fs::path dir = scratch_folder("newline");
  const std::string name = "a\nWITHIN LIMITS.xyz", shown = "a\\x0aWITHIN LIMITS.xyz";
  write(dir / name, scattered());
  const ProgramRun look = run_program({"look", dir / name, "--ball", "30"});
  EXPECT_EQ(look.code, 3) << look.err;
  for (const std::string& text : {look.out, look.err}) {
    EXPECT_NE(text.find(shown), std::string::npos) << text;
    EXPECT_EQ(text.find("\nWITHIN"), std::string::npos) << text;
  }
  const ProgramRun trend = run_program({"trend", "R12\nWITHIN/300"}, dir);
  EXPECT_EQ(trend.code, 3);
  EXPECT_NE(trend.err.find("no check of R12\\x0aWITHIN/300"), std::string::npos) << trend.err;
  EXPECT_EQ((trend.out + trend.err).find("\nWITHIN"), std::string::npos) << trend.err;
}

TEST(Program, NothingFoundEndsWith3AndStillPrintsJson) {
  const fs::path dir = scratch_folder("nothing");
  write(dir / "blob.xyz", scattered());
  const ProgramRun run = run_program({"look", dir / "blob.xyz", "--ball", "30", "--json"});
  EXPECT_EQ(run.code, 3) << run.err;
  EXPECT_EQ(run.json()["points"], 4000);
  EXPECT_FALSE(run.err.empty());
}

// A session that is made of what was typed is one that every later command can read.
TEST(Program, WhatIsTypedMakesASessionOrNothing) {
  const fs::path dir = scratch_folder("typed_sizes");
  fs::create_directories(dir / "export");
  write(dir / "export/one.xyz", scattered());
  for (const std::vector<std::string>& sizes :
       {std::vector<std::string>{"--bar", "120", "--limit", "1001"},
        {"--ball", "6000"},
        {"--plate", "200000x1"},
        {"--bar", "120", "--ball", "500"}}) {
    std::vector<std::string> line{"assess", "export"};
    line.insert(line.end(), sizes.begin(), sizes.end());
    const ProgramRun run = run_program(line, dir);
    EXPECT_EQ(run.code, 64) << testing::PrintToString(line) << run.err;
    EXPECT_EQ(std::distance(fs::directory_iterator(dir), {}), 1) << testing::PrintToString(line);
  }
  EXPECT_EQ(run_program({"assess", "export", "--bar", "120"}, dir).code, 3);
  fs::path made;
  for (const auto& entry : fs::directory_iterator(dir))
    if (entry.path().filename().string().starts_with("rigproof-")) made = entry.path();
  const ProgramRun report = run_program({"report", made}, dir);
  EXPECT_EQ(report.code, 0) << report.err;
}

}  // namespace
}  // namespace rigproof
