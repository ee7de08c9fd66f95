// `add` as a person uses it: by options without a terminal, and by answers. The files of fixtures/
// serve as examples of what certificates and data sheets say: written again from options they must
// read back as the same numbers.
#include <cstdlib>
#include <deque>
#include <fstream>
#include <functional>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "app/add_command.h"
#include "app/program.h"
#include "base/error.h"
#include "base/number.h"
#include "inputs/session.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;

class Add : public testing::Test {
 protected:
  void SetUp() override {
    const auto* info = testing::UnitTest::GetInstance()->current_test_info();
    dir_ = scratch_folder(std::string("add_") + info->name());
    home_ = dir_ / "home";
    ::setenv("RIGPROOF_HOME", home_.c_str(), 1);
  }
  void TearDown() override { ::unsetenv("RIGPROOF_HOME"); }

  ProgramRun add(std::vector<std::string> arguments) {
    arguments.insert(arguments.begin(), "add");
    return run_program(arguments, dir_);
  }
  int files() const {
    int n = 0;
    if (fs::exists(home_))
      for (const auto& entry : fs::recursive_directory_iterator(home_))
        n += entry.is_regular_file();
    return n;
  }
  /// A flat sheet of points square to the rig, and two strays far behind and in front of it.
  void sheet(const std::string& name, double z, double width, double height, double unit = 1) {
    std::ofstream out(dir_ / name);
    for (int i = 0; i <= 40; ++i)
      for (int j = 0; j <= 30; ++j)
        out << (width * (i / 40.0 - 0.5)) / unit << ' ' << (height * (j / 30.0 - 0.5)) / unit << ' '
            << (z + 0.01 * ((i * 7 + j * 3) % 5 - 2)) / unit << '\n';
    out << 3 * width / unit << " 0 " << 4 * z / unit << "\n0 " << 2 * height / unit << " 1\n";
  }
  static fs::path fixture(const std::string& name) {
    return fs::path(RIGPROOF_SOURCE_DIR) / "fixtures" / name;
  }

  fs::path dir_, home_;
};

/// Gives answers in order and keeps the questions.
class ScriptedAsker : public Asker {
 public:
  explicit ScriptedAsker(std::deque<std::string> answers) : answers_(std::move(answers)) {}
  bool present() const override { return true; }
  std::string answer(const std::string& prompt) override {
    questions.push_back(prompt);
    if (answers_.empty()) throw Error(ErrorKind::usage, "no more answers: " + prompt);
    const std::string next = answers_.front();
    answers_.pop_front();
    return next;
  }
  void say(const std::string& text) override { said.push_back(text); }
  std::size_t left() const { return answers_.size(); }

  std::vector<std::string> questions, said;

 private:
  std::deque<std::string> answers_;
};

const std::vector<std::string> kBar{"bar",
                                    "--serial",
                                    "250-07",
                                    "--material",
                                    "carbon fibre",
                                    "--ball",
                                    "A=30.0012/0.8/0.4",
                                    "--ball",
                                    "B=30.0007/0.8/0.4",
                                    "--distance",
                                    "A-B=250.0123/1.1",
                                    "--certificate",
                                    "K-1182",
                                    "--laboratory",
                                    "Sample laboratory (invented)",
                                    "--date",
                                    "2026-01-31",
                                    "--due",
                                    "2027-01-31",
                                    "--support",
                                    "at both ends, under the balls",
                                    "--surface",
                                    "matt, sand-blasted"};

TEST_F(Add, ABarFromOptionsIsTheSameAsTheFileWrittenByHand) {
  const ProgramRun run = add(kBar);
  ASSERT_EQ(run.code, 0) << run.err;
  const fs::path file = home_ / "artefacts/bar-250-07.toml";
  EXPECT_EQ(run.out, file.string() + "\n");
  EXPECT_THAT(run.err, HasSubstr("Next: rigproof new --artefact bar-250-07"));
  EXPECT_EQ(to_toml(load_artefact(file)),
            to_toml(load_artefact(fixture("artefacts/bar-250-07.toml"))));
  EXPECT_EQ(files(), 1);
}

TEST_F(Add, ABallAndAPlateToo) {
  ASSERT_EQ(add({"ball",
                 "--serial",
                 "30-23",
                 "--diameter",
                 "30.0003",
                 "--U",
                 "0.6",
                 "--form",
                 "0.4",
                 "--certificate",
                 "K-1184",
                 "--laboratory",
                 "Sample laboratory (invented)",
                 "--date",
                 "2026-01-31",
                 "--due",
                 "2027-01-31",
                 "--surface",
                 "matt"})
                .code,
            0);
  EXPECT_EQ(to_toml(load_artefact(home_ / "artefacts/ball-30-23.toml")),
            to_toml(load_artefact(fixture("artefacts/ball-30-23.toml"))));
  ASSERT_EQ(add({"plate",      "--serial",     "200-33",
                 "--material", "alumina",      "--size",
                 "200x140",    "--flatness",   "2.2",
                 "--U",        "0.8",          "--certificate",
                 "K-1219",     "--laboratory", "Sample laboratory (invented)",
                 "--date",     "2026-01-31",   "--due",
                 "2027-01-31", "--support",    "three points",
                 "--surface",  "matt"})
                .code,
            0);
  EXPECT_EQ(to_toml(load_artefact(home_ / "artefacts/plate-200-33.toml")),
            to_toml(load_artefact(fixture("artefacts/plate-200-33.toml"))));
}

TEST_F(Add, ARigAndItsLimits) {
  const ProgramRun run =
      add({"rig",           "--id",    "R12",        "--axes",        "right down away",
           "--lens-locked", "--field", "300",        "--size",        "300x200x150",
           "--middle",      "600",     "--baseline", "300",           "--focal-px",
           "3500",          "--image", "2448x2048",  "--board-alpha", "8.5"});
  ASSERT_EQ(run.code, 0) << run.err;
  EXPECT_EQ(to_toml(load_rig(home_ / "rigs/R12.toml")),
            to_toml(load_rig(fixture("rigs/R12.toml"))));
  EXPECT_THAT(run.err, HasSubstr("rigproof new --rig R12/300"));
  const Limits sample = load_limits(fixture("limits/R12-agreed.toml"));
  std::vector<std::string> limits{"limits",
                                  "--name",
                                  "R12-agreed",
                                  "--set-by",
                                  sample.set_by,
                                  "--date",
                                  to_string(*sample.date),
                                  "--role",
                                  sample.role};
  for (const auto& [id, limit] : sample.by_characteristic) {
    limits.push_back("--limit");
    limits.push_back(id + "=" + exact(limit.A_mm));
  }
  ASSERT_EQ(add(limits).code, 0);
  EXPECT_EQ(to_toml(load_limits(home_ / "limits/R12-agreed.toml")), to_toml(sample));
}

// Focal length in pixels = focal length / pixel pitch: 12 mm / 3.45 µm.
TEST_F(Add, CamerasByTapeMeasureAndDataSheet) {
  ASSERT_EQ(add({"rig",
                 "--id",
                 "T",
                 "--near",
                 "1600/1080x780",
                 "--far",
                 "2250/1320x960",
                 "--baseline",
                 "600",
                 "--lens",
                 "12",
                 "--pixel",
                 "3.45",
                 "--image",
                 "2448x2048"})
                .code,
            0);
  const Rig rig = load_rig(home_ / "rigs/T.toml");
  ASSERT_TRUE(rig.stereo);
  EXPECT_TRUE(rig.stereo->tape);
  EXPECT_DOUBLE_EQ(rig.stereo->focal_px, 12.0 / 0.00345);
  EXPECT_EQ(rig.stereo->aim_mm, 1925);
  EXPECT_FALSE(rig.axes_stated);
  const Volume& v = rig.field("1320").volume;
  EXPECT_EQ(v.near_mm, 1600);
  EXPECT_EQ(v.far_width, 1320);
  EXPECT_EQ(v.near_height, 780);
}

TEST_F(Add, TheFieldOfViewFromTwoScans) {
  sheet("near.xyz", 520, 280, 190);
  sheet("far.xyz", 680, 340, 230);
  const ProgramRun run = add({"rig", "--id", "R", "--from", "near.xyz", "far.xyz"});
  ASSERT_EQ(run.code, 0) << run.err;
  const Volume v = load_rig(home_ / "rigs/R.toml").field("340").volume;
  EXPECT_NEAR(v.near_mm, 520, 0.1);
  EXPECT_NEAR(v.far_mm, 680, 0.1);
  EXPECT_NEAR(v.near_width, 280, 0.1);
  EXPECT_NEAR(v.near_height, 190, 0.1);
  EXPECT_NEAR(v.far_width, 340, 0.1);
  EXPECT_NEAR(v.far_height, 230, 0.1);
  EXPECT_THAT(run.err, HasSubstr("2 of 1273 points left out as strays"));
}

TEST_F(Add, TheFieldOfViewFromScansInInches) {
  sheet("near.xyz", 520, 280, 190, 25.4);
  sheet("far.xyz", 680, 340, 230, 25.4);
  ASSERT_EQ(add({"rig", "--id", "R", "--units", "inch", "--from", "near.xyz", "far.xyz"}).code, 0);
  const Rig rig = load_rig(home_ / "rigs/R.toml");
  EXPECT_EQ(rig.unit_mm, 25.4);
  EXPECT_NEAR(rig.field("340").volume.near_mm, 520, 0.1);
  EXPECT_NEAR(rig.field("340").volume.far_height, 230, 0.1);
}

TEST_F(Add, ScansInTheWrongOrderOrBehindTheRigAreRefused) {
  sheet("near.xyz", 520, 280, 190);
  sheet("far.xyz", 680, 340, 230);
  const ProgramRun swapped = add({"rig", "--id", "R", "--from", "far.xyz", "near.xyz"});
  EXPECT_EQ(swapped.code, 65);
  EXPECT_THAT(swapped.err, HasSubstr("--from NEAR FAR"));
  const ProgramRun behind =
      add({"rig", "--id", "R", "--axes", "right up towards", "--from", "near.xyz", "far.xyz"});
  EXPECT_EQ(behind.code, 65);
  EXPECT_THAT(behind.err, HasSubstr("--axes"));
  EXPECT_EQ(add({"rig", "--id", "R", "--from", "near.xyz", "absent.xyz"}).code, 66);
  EXPECT_EQ(files(), 0);
}

TEST_F(Add, AnotherFieldOfViewKeepsTheRest) {
  ASSERT_EQ(add({"rig",
                 "--id",
                 "R",
                 "--axes",
                 "right up towards",
                 "--size",
                 "300x200x150",
                 "--middle",
                 "600"})
                .code,
            0);
  const ProgramRun again = add({"rig", "--id", "R", "--size", "100x75x50", "--middle", "260"});
  EXPECT_EQ(again.code, 73);
  EXPECT_THAT(again.err, HasSubstr("--keep"));
  ASSERT_EQ(add({"rig", "--id", "R", "--size", "100x75x50", "--middle", "260", "--keep"}).code, 0);
  const Rig rig = load_rig(home_ / "rigs/R.toml");
  EXPECT_EQ(rig.fields.size(), 2u);
  EXPECT_EQ(rig.field("100").volume.far_mm, 285);
  EXPECT_EQ(rig.axes, "right up towards");
}

TEST_F(Add, WithoutATerminalAMissingOptionIsNamed) {
  const std::vector<std::pair<std::vector<std::string>, std::string>> cases{
      {{"ball"}, "--serial"},
      {{"ball", "--serial", "1"}, "--diameter"},
      {{"ball", "--serial", "1", "--diameter", "30"}, "--U"},
      {{"ball", "--serial", "1", "--material", "cheese"}, "--alpha"},
      {{"bar", "--serial", "1"}, "--ball"},
      {{"bar", "--serial", "1", "--ball", "A=30/1", "--ball", "B=30/1"}, "--distance"},
      {{"plate", "--serial", "1"}, "--size"},
      {{"plate", "--serial", "1", "--size", "300x200"}, "--flatness"},
      {{"rig"}, "--id"},
      {{"rig", "--id", "R"}, "--size"},
      {{"rig", "--id", "R", "--size", "300x200x150"}, "--middle"},
      {{"limits"}, "--name"},
      {{"limits", "--name", "L"}, "--limit"},
      {{"limits", "--name", "L", "--limit", "flatness=1", "--rule", "guarded"}, "--w"}};
  for (const auto& [arguments, option] : cases) {
    const ProgramRun run = add(arguments);
    EXPECT_EQ(run.code, 64) << option;
    EXPECT_THAT(run.err, HasSubstr(option + " is missing"));
  }
  EXPECT_EQ(files(), 0);
}

TEST_F(Add, WhatCannotBeIsRefusedAndNothingIsWritten) {
  const std::vector<std::pair<std::vector<std::string>, std::string>> cases{
      {{"cube"}, "cube"},
      {{"ball", "--serial", "1", "--diameter", "30,0003", "--U", "1"}, "decimal point"},
      {{"ball", "--serial", "1", "--diameter", "-30", "--U", "1"}, "--diameter"},
      {{"ball", "--serial", "1", "--diameter", "30", "--U", "5000"}, "--U"},
      {{"ball", "--serial", "a/b", "--diameter", "30", "--U", "1"}, "slash"},
      {{"ball", "--serial", "1", "--diameter", "30", "--U", "1", "--baseline", "3"}, "--baseline"},
      {{"ball", "--serial", "1", "--diameter", "30", "--U", "1", "--date", "31.1.2026"}, "--date"},
      {{"bar", "--serial", "1", "--ball", "A=30/1", "--ball", "B=30/1", "--distance", "A-C=250/1"},
       "A-C"},
      // The balls would overlap: 20 mm between centres of 30 mm balls.
      {{"bar", "--serial", "1", "--ball", "A=30/1", "--ball", "B=30/1", "--distance", "A-B=20/1"},
       "overlap"},
      {{"bar",
        "--serial",
        "1",
        "--ball",
        "A=30,0012/0.8",
        "--ball",
        "B=30/1",
        "--distance",
        "A-B=250/1"},
       "decimal point"},
      {{"rig", "--id", "R", "--axes", "right up away", "--size", "300x200x150", "--middle", "600"},
       "mirror"},
      {{"rig", "--id", "R", "--size", "300x200x150", "--middle", "60"}, "--middle"},
      {{"rig", "--id", "R", "--units", "furlong", "--size", "300x200x150", "--middle", "600"},
       "--units"},
      {{"limits", "--name", "L", "--limit", "flatnes=1"}, "flatness"},
      {{"limits", "--name", "L", "--limit", "flatness=0.01+L/1000"}, "no length"}};
  for (const auto& [arguments, words] : cases) {
    const ProgramRun run = add(arguments);
    EXPECT_TRUE(run.code == 64 || run.code == 78) << run.code << ' ' << run.err;
    EXPECT_THAT(run.err, HasSubstr(words));
  }
  EXPECT_EQ(files(), 0);
}

TEST_F(Add, NothingIsOverwrittenUnlessAsked) {
  const std::vector<std::string> ball{"ball", "--serial", "1", "--diameter", "30", "--U", "1"};
  ASSERT_EQ(add(ball).code, 0);
  std::vector<std::string> other = ball;
  other[4] = "40";
  EXPECT_EQ(add(other).code, 73);
  EXPECT_EQ(load_artefact(home_ / "artefacts/ball-1.toml").balls[0].diameter.mm, 30);
  other.push_back("--replace");
  EXPECT_EQ(add(other).code, 0);
  EXPECT_EQ(load_artefact(home_ / "artefacts/ball-1.toml").balls[0].diameter.mm, 40);
  EXPECT_EQ(files(), 1);
}

TEST_F(Add, JsonIsOneDocumentOnStandardOutput) {
  const ProgramRun run =
      add({"limits", "--name", "L", "--limit", "sphere_spacing=0.010+L/15000", "--json"});
  ASSERT_EQ(run.code, 0) << run.err;
  EXPECT_EQ(run.json()["file"], (home_ / "limits/L.toml").string());
  const Limit limit = load_limits(home_ / "limits/L.toml").by_characteristic.at("sphere_spacing");
  EXPECT_DOUBLE_EQ(limit.at(300), 0.03);  // 0.010 + 300 / 15000
}

TEST_F(Add, APersonIsAskedAndToldWhatIsWrong) {
  AddOptions options;
  options.what = "bar";
  options.given["--laboratory"] = "Sample laboratory (invented)";
  ScriptedAsker asker({"",  // an answer is needed
                       "7",
                       "",
                       "2",
                       "30,0012 0.8",  // a decimal comma could be two numbers
                       "30.0012 0.8 0.4",
                       "30.0007/0.8",
                       "250.0123 1.1",
                       "K-1",
                       "2026-01-31",
                       "2026-13-01",
                       "-",
                       "2",
                       "",
                       "matt"});
  const fs::path file = add_input(options, asker);
  EXPECT_EQ(asker.left(), 0u);
  EXPECT_EQ(asker.said.size(), 4u);  // how to answer, and three wrong answers
  const Artefact a = load_artefact(file);
  EXPECT_EQ(file, home_ / "artefacts/bar-7.toml");
  EXPECT_EQ(a.material, "steel");
  EXPECT_EQ(a.balls[0].diameter.mm, 30.0012);
  EXPECT_EQ(a.balls[0].form_mm, 0.4 / 1000);
  EXPECT_EQ(a.balls[1].form_mm, 0);
  EXPECT_EQ(a.distances[0].length.mm, 250.0123);
  EXPECT_EQ(a.distances[0].length.U_mm, 1.1 / 1000);
  EXPECT_FALSE(a.due);
  for (const std::string& question : asker.questions) EXPECT_THAT(question, HasSubstr("(--"));
}

TEST_F(Add, ABallPlateMayLeavePairsOut) {
  AddOptions options;
  options.what = "bar";
  options.given["--serial"] = "p";
  ScriptedAsker asker(
      {"", "3", "20 1", "20 1", "20 1", "100 1", "", "100 1", "", "", "", "", "", "", ""});
  const Artefact a = load_artefact(add_input(options, asker));
  ASSERT_EQ(a.distances.size(), 2u);
  EXPECT_EQ(a.distances[1].from, "B");
  EXPECT_EQ(a.distances[1].to, "C");
}

TEST_F(Add, LimitsByAnswers) {
  AddOptions options;
  options.what = "limits";
  ScriptedAsker asker({"agreed",
                       "0.010+L/15000",
                       "",
                       "x",
                       "0.02",
                       "",
                       "guarded",
                       "0.002",
                       "Sample customer",
                       "2026-02-01",
                       "supplier"});
  const Limits limits = load_limits(add_input(options, asker));
  EXPECT_EQ(limits.by_characteristic.size(), 2u);
  EXPECT_EQ(limits.by_characteristic.at("probing_size").A_mm, 0.02);
  EXPECT_EQ(limits.rule, DecisionRule::guarded);
  EXPECT_EQ(limits.guard_mm, 0.002);
}

TEST_F(Add, WhenAnswersEndNothingIsWritten) {
  AddOptions options;
  options.what = "ball";
  ScriptedAsker asker({"1", "steel", "30"});
  EXPECT_THROW(add_input(options, asker), Error);
  EXPECT_EQ(files(), 0);
}

}  // namespace
}  // namespace rigproof
