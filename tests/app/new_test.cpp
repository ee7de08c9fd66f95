// `new` as a person uses it: by options without a terminal, by answers, and after an earlier
// session. A session folder must read back as the same session, complete in itself, wherever it is
// moved.
#include <cstdlib>
#include <fstream>
#include <map>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "app/new_session.h"
#include "app/program.h"
#include "app/session_questions.h"
#include "base/error.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;

class New : public testing::Test {
 protected:
  void SetUp() override {
    const auto* info = testing::UnitTest::GetInstance()->current_test_info();
    dir_ = scratch_folder(std::string("new_") + info->name());
    home_ = dir_ / "home";
    ::setenv("RIGPROOF_HOME", home_.c_str(), 1);
  }
  void TearDown() override { ::unsetenv("RIGPROOF_HOME"); }

  ProgramRun run(std::vector<std::string> arguments) {
    arguments.insert(arguments.begin(), "new");
    return run_program(arguments, dir_);
  }
  bool only_home_is_left() const {
    for (const auto& entry : fs::directory_iterator(dir_))
      if (entry.path() != home_ && entry.path().filename() != "calibration.bin") return false;
    return true;
  }

  fs::path dir_, home_;
};

/// Takes every standard answer, except those given by option name.
class StandardAnswers : public Asker {
 public:
  explicit StandardAnswers(std::map<std::string, std::string> other = {})
      : other_(std::move(other)) {}
  bool present() const override { return true; }
  std::string answer(const std::string& prompt) override {
    questions.push_back(prompt);
    for (const auto& [option, answer] : other_)
      if (prompt.find("(" + option + ")") != std::string::npos) return answer;
    return "";
  }
  void say(const std::string&) override {}
  std::vector<std::string> questions;

 private:
  std::map<std::string, std::string> other_;
};

const std::vector<std::string> kMonday{"monday",
                                       "--rig",
                                       "R12/300",
                                       "--date",
                                       "2026-03-14",
                                       "--calibration",
                                       "board 4, twelve views",
                                       "--operator",
                                       "A. Tester",
                                       "--temperature",
                                       "21.3",
                                       "--u-temperature",
                                       "0.2",
                                       "--measured-on",
                                       "artefact",
                                       "--soaked",
                                       "2",
                                       "--yes"};

TEST_F(New, ASessionFromOptionsIsCompleteInItself) {
  const ProgramRun made = run(kMonday);
  ASSERT_EQ(made.code, 0) << made.err;
  EXPECT_EQ(made.out, "monday\n");
  EXPECT_THAT(made.err, HasSubstr("Next: rigproof plan monday"));
  EXPECT_THAT(made.err, HasSubstr("R12 is a sample"));
  fs::rename(dir_ / "monday", dir_ / "elsewhere");  // nothing in it may point outside
  const Session s = load_session(dir_ / "elsewhere");
  EXPECT_TRUE(s.looked_up.empty());
  EXPECT_EQ(s.id, "2026-03-14-R12-300-acceptance");
  EXPECT_EQ(s.kind, "acceptance");
  EXPECT_EQ(s.procedure.name, "half-hour");
  EXPECT_EQ(s.calibration, "board 4, twelve views");
  EXPECT_EQ(s.operator_name, "A. Tester");
  EXPECT_EQ(s.environment.artefact_C, 21.3);
  EXPECT_EQ(s.environment.u_artefact_C, 0.2);
  EXPECT_EQ(s.environment.soaked_h, 2);
  EXPECT_TRUE(s.limits_given);
  EXPECT_TRUE(s.scans.empty());
  for (const char* folder : {"scans", "photos", "artefacts"})
    EXPECT_TRUE(fs::is_directory(dir_ / "elsewhere" / folder)) << folder;
}

TEST_F(New, ArtefactsFitTheField) {
  ASSERT_EQ(run(kMonday).code, 0);
  const Session s = load_session(dir_ / "monday");
  const double l0 = s.field()->volume.diagonal();
  bool bar = false, ball = false, plate = false;
  for (const Artefact& a : s.artefacts) {
    if (a.kind == ArtefactKind::bar) bar = bar || a.distances[0].length.mm >= 0.3 * l0;
    if (a.kind == ArtefactKind::ball)
      ball = ball || (a.balls[0].diameter.mm >= 0.02 * l0 && a.balls[0].diameter.mm <= 0.2 * l0);
    if (a.kind == ArtefactKind::plate) plate = plate || a.length_mm >= 0.5 * l0;
  }
  EXPECT_TRUE(bar && ball && plate);
}

TEST_F(New, AtMostADozenQuestionsAndStandardAnswersFromLastTime) {
  ASSERT_EQ(run(kMonday).code, 0);
  NewOptions options;
  options.after = (dir_ / "monday").string();
  options.date = "2026-03-21";
  StandardAnswers asker(std::map<std::string, std::string>{{"--kind", "as-found"}});
  Questions questions(asker, false);
  const SessionDraft draft = ask_session(options, questions);
  EXPECT_LE(asker.questions.size(), 12u);
  for (const std::string& question : asker.questions) EXPECT_THAT(question, HasSubstr("(--"));
  const Session last = load_session(dir_ / "monday");
  EXPECT_EQ(draft.session.rig.id, "R12");
  EXPECT_EQ(draft.session.kind, "as-found");
  EXPECT_EQ(draft.session.operator_name, "A. Tester");
  EXPECT_EQ(draft.session.calibration, "board 4, twelve views");  // as found: the same calibration
  ASSERT_EQ(draft.session.artefacts.size(), last.artefacts.size());
  for (std::size_t i = 0; i < last.artefacts.size(); ++i)
    EXPECT_EQ(draft.session.artefacts[i].serial, last.artefacts[i].serial);
  EXPECT_FALSE(draft.session.environment.artefact_C);  // a temperature is never carried over
  EXPECT_EQ(draft.session.id, "2026-03-21-R12-300-as-found");
}

TEST_F(New, AnAsLeftTestFollowsANewCalibration) {
  ASSERT_EQ(run(kMonday).code, 0);
  NewOptions options;
  options.after = (dir_ / "monday").string();
  options.kind = "as-left";
  options.yes = true;
  StandardAnswers asker;
  Questions questions(asker, true);
  EXPECT_EQ(ask_session(options, questions).session.calibration, "");
  EXPECT_TRUE(asker.questions.empty());
}

TEST_F(New, ThePartsOfLastTimeAreTakenAsTheyAreToday) {
  ASSERT_EQ(run(kMonday).code, 0);
  const Artefact first = load_session(dir_ / "monday").artefacts.at(0);
  Artefact recalibrated = first;
  recalibrated.certificate = "K-2000";
  fs::create_directories(home_ / "artefacts");
  std::ofstream(home_ / "artefacts" / (first.name + ".toml")) << to_toml(recalibrated);
  const ProgramRun second = run({"tuesday", "--after", "monday", "--yes"});
  ASSERT_EQ(second.code, 0) << second.err;
  bool seen = false;
  for (const Artefact& a : load_session(dir_ / "tuesday").artefacts)
    if (a.serial == first.serial) {
      seen = true;
      EXPECT_EQ(a.certificate, "K-2000");
    }
  EXPECT_TRUE(seen);
}

TEST_F(New, TheCalibrationIsCopiedByteForByte) {
  std::ofstream(dir_ / "calibration.bin", std::ios::binary) << std::string("\0\x01\xff", 3);
  ASSERT_EQ(run({"s", "--rig", "R12/300", "--calibration", "calibration.bin", "--yes"}).code, 0);
  const Session s = load_session(dir_ / "s");
  EXPECT_EQ(s.calibration, "calibration/calibration.bin");
  std::ifstream copy(dir_ / "s" / s.calibration, std::ios::binary);
  EXPECT_EQ(std::string(std::istreambuf_iterator<char>(copy), {}), std::string("\0\x01\xff", 3));
}

TEST_F(New, WithoutADirectoryItIsNamedAfterDayRigFieldAndKind) {
  const std::vector<std::string> same{"--rig", "R12/300", "--date", "2026-03-14", "--yes"};
  EXPECT_EQ(run(same).out, "2026-03-14-R12-300-acceptance\n");
  EXPECT_EQ(run(same).out, "2026-03-14-R12-300-acceptance-2\n");
  EXPECT_EQ(load_session(dir_ / "2026-03-14-R12-300-acceptance-2").id,
            "2026-03-14-R12-300-acceptance-2");
}

TEST_F(New, WhatCannotBeIsRefusedAndNothingIsLeft) {
  struct Wrong {
    std::vector<std::string> arguments;
    int code;
    std::string says;
  };
  const std::vector<Wrong> all{
      {{"s", "--yes"}, 64, "--rig"},
      {{"s", "--rig", "R13/300", "--yes"}, 66, "R12"},
      {{"s", "--rig", "R12/301", "--yes"}, 78, "300"},
      {{"s", "--rig", "R12/300", "--kind", "acceptence", "--yes"}, 64, "acceptance"},
      {{"s", "--rig", "R12/300", "--date", "2026-02-30", "--yes"}, 64, "--date"},
      {{"s", "--rig", "R12/300", "--artefact", "bar-250-70", "--yes"}, 66, "bar-250-07"},
      {{"s", "--rig", "R12/300", "--calibration", "no/such.bin", "--yes"}, 66, "no/such.bin"},
      {{"s", "--rig", "R12/300", "--temperature", "500", "--yes"}, 64, "--temperature"},
      {{"s", "--rig", "R12/300", "--u-temperature", "0.1", "--yes"}, 64, "--temperature"},
      {{"s", "--rig", "R12/300", "--soaked", "-1", "--yes"}, 64, "--soaked"},
      {{"s", "--after", "nothing", "--yes"}, 66, "nothing"},
  };
  for (const Wrong& wrong : all) {
    const ProgramRun made = run(wrong.arguments);
    EXPECT_EQ(made.code, wrong.code) << testing::PrintToString(wrong.arguments) << made.err;
    EXPECT_THAT(made.err, HasSubstr(wrong.says));
    EXPECT_TRUE(only_home_is_left()) << testing::PrintToString(wrong.arguments);
  }
}

TEST_F(New, AFolderThatHoldsSomethingIsNotTouched) {
  fs::create_directories(dir_ / "full");
  std::ofstream(dir_ / "full/mine.txt") << "mine";
  EXPECT_EQ(run({"full", "--rig", "R12/300", "--yes"}).code, 73);
  EXPECT_EQ(std::distance(fs::directory_iterator(dir_ / "full"), fs::directory_iterator()), 1);
  fs::create_directories(dir_ / "empty");
  EXPECT_EQ(run({"empty", "--rig", "R12/300", "--yes"}).code, 0);
}

TEST_F(New, JsonIsOneDocument) {
  const ProgramRun made = run({"s", "--rig", "R12/300", "--yes", "--json"});
  ASSERT_EQ(made.code, 0) << made.err;
  EXPECT_EQ(made.json()["session"], "s");
}

TEST_F(New, WithoutScansAssessSaysWhereTheyBelong) {
  ASSERT_EQ(run(kMonday).code, 0);
  const ProgramRun assessed = run_program({"assess", "monday", "--json"}, dir_);
  EXPECT_EQ(assessed.code, 66);
  EXPECT_THAT(assessed.err, HasSubstr("monday/scans"));
  EXPECT_FALSE(fs::exists(dir_ / "monday/out"));
}

}  // namespace
}  // namespace rigproof
