// What cannot be sealed, what an audit notices beside values, and two runs in one session.
#include <map>
#include <sstream>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "app/program.h"
#include "app/sealed_session.h"
#include "base/folder.h"
#include "base/input_file.h"
#include "base/sha256.h"
#include "inputs/session.h"

namespace rigproof {
namespace {

using testing::HasSubstr;

/// A copy that is assessed and not sealed.
fs::path unsealed(const std::string& name) {
  const fs::path session = Sealed::get().copy(name);
  fs::remove_all(session / "seal");
  return session;
}

ProgramRun seal(const std::string& session, const std::string& by = "A. Name") {
  return run_program({"seal", session, "--key", "lab.key", "--by", by}, Sealed::get().dir);
}

TEST(SealHonesty, AKeyNeverLiesInTheSessionHoweverItIsNamed) {
  const fs::path session = unsealed("keyless");
  for (const char* key : {"own.key", "./own.key", "keys/own.key", "out/../own.key"}) {
    EXPECT_EQ(run_program({"seal", "--key", key, "--by", "X"}, session).code, 64) << key;
    EXPECT_FALSE(fs::exists(session / "own.key") || fs::exists(session / "keys")) << key;
  }
  // Nor in another one that is sealed.
  const std::string other = Sealed::get().session / "own.key";
  EXPECT_EQ(run_program({"seal", "--key", other, "--by", "X"}, session).code, 64);
  EXPECT_FALSE(fs::exists(other));
}

/// A session whose results say something else at this place, as a person could write it.
fs::path with_edited_results(const std::string& place, const nlohmann::ordered_json& now) {
  const fs::path session = unsealed("dishonest");
  // Keys in their order, which the program compares.
  auto results = nlohmann::ordered_json::parse(read_text(session / "out/results.json"));
  const nlohmann::ordered_json::json_pointer at(place);
  EXPECT_TRUE(results.contains(at) && results[at] != now) << place << " says so already";
  results[at] = now;
  put(session / "out/results.json", results.dump(1));
  return session;
}

// What each of them changes in turn: Compare.NoticesWhatElseWasSealedOtherwise.
TEST(SealHonesty, AnAuditNoticesMoreThanValues) {
  const Sealed& s = Sealed::get();
  for (const auto& [place, now] :
       std::map<std::string, nlohmann::ordered_json>{{"/headline", "WITHIN LIMITS: everything"},
                                                     {"/characteristics/0/judged", false},
                                                     {"/scans/0/status", "withdrawn"}}) {
    with_edited_results(place, now);
    const ProgramRun sealed = seal("dishonest");
    ASSERT_EQ(sealed.code, 0) << place << sealed.err;
    const ProgramRun audit = run_program({"audit", "dishonest"}, s.dir);
    EXPECT_EQ(audit.code, 1) << place << audit.out;
  }
}

// The session's own files say so, and with them whatever is drawn from its results.
TEST(SealHonesty, SimulatedDataCannotBeCalledReal) {
  const fs::path session = with_edited_results("/simulated", false);
  ASSERT_EQ(run_program({"report", "dishonest"}, Sealed::get().dir).code, 0);
  EXPECT_THAT(read_text(session / "out-2/report.html"), HasSubstr("SIMULATED"));
  fs::remove_all(session / "out-2");
  ASSERT_EQ(seal("dishonest").code, 0);
  EXPECT_THAT(read_text(session / "seal/certificate.html"), HasSubstr("SIMULATED"));
}

TEST(SealHonesty, WhatCameSinceTheAssessmentIsNotSealed) {
  const fs::path session = unsealed("later");
  const fs::path scan = *fs::directory_iterator(session / "scans");
  const auto refused = [&](const fs::path& file) {
    const ProgramRun run = seal("later");
    EXPECT_EQ(run.code, 65) << file << run.out;
    EXPECT_THAT(run.err, HasSubstr(file.filename().string()));
    fs::remove(file);
  };
  fs::copy_file(scan, session / "scans/zz-later.ply");
  refused(session / "scans/zz-later.ply");
  put(session / "calibration/later.txt", "another one");
  refused(session / "calibration/later.txt");
  ASSERT_FALSE(fs::exists(session / "plan.toml"));
  ASSERT_LE(run_program({"plan", "later", "--quiet"}, Sealed::get().dir).code, 3);
  refused(session / "plan.toml");
  EXPECT_FALSE(fs::exists(session / "seal/manifest.json"));
  const ProgramRun honest = seal("later");
  EXPECT_EQ(honest.code, 0) << honest.err;
}

// The list of what was read is no proof that a scan was judged.
TEST(SealHonesty, AScanThatIsNotAmongTheResultsIsNotSealed) {
  const fs::path session = unsealed("unjudged");
  fs::copy_file(*fs::directory_iterator(session / "scans"), session / "scans/zz-worse.ply");
  auto results = nlohmann::ordered_json::parse(read_text(session / "out/results.json"));
  auto entry = results["inputs"].back();
  entry["path"] = "scans/zz-worse.ply";
  entry["sha256"] = sha256_file(session / "scans/zz-worse.ply");
  results["inputs"].push_back(entry);
  put(session / "out/results.json", results.dump(1));
  const ProgramRun run = seal("unjudged");
  EXPECT_EQ(run.code, 65) << run.out;
  EXPECT_THAT(run.err, HasSubstr("zz-worse.ply"));
}

TEST(SealHonesty, AnotherTemperatureLogIsNotSealed) {
  const fs::path session = unsealed("warmer");
  put(session / "env.csv", "2026-03-14 09:30,20.0\n2026-03-14 10:30,20.1\n");
  Session logged = load_session(session);
  logged.environment.log = "./env.csv";
  save_session(logged);
  fs::remove_all(session / "out");
  ASSERT_LE(run_program({"assess", "warmer", "--quiet"}, Sealed::get().dir).code, 3);
  put(session / "env.csv", "2026-03-14 09:30,20.0\n2026-03-14 10:30,26.1\n");
  const ProgramRun run = seal("warmer");
  EXPECT_EQ(run.code, 65) << run.out;
  EXPECT_THAT(run.err, HasSubstr("env.csv"));
}

TEST(SealHonesty, ASessionThatTakesFilesFromElsewhereIsNotSealed) {
  const Sealed& s = Sealed::get();
  const fs::path session = unsealed("borrowing");
  fs::remove(session / "procedure.toml");
  fs::remove_all(session / "out");
  ASSERT_LE(run_program({"assess", "borrowing", "--quiet"}, s.dir).code, 3);
  const ProgramRun run = seal("borrowing");
  EXPECT_EQ(run.code, 78) << run.err;
  EXPECT_THAT(run.err, HasSubstr("procedure.toml"));
  EXPECT_FALSE(fs::exists(session / "seal"));
}

TEST(SealHonesty, WordsThatAreNoTextAreRefusedBeforeAKeyIsMade) {
  const Sealed& s = Sealed::get();
  unsealed("wordless");
  for (const std::string& by : {std::string("J\xfcrg"),
                                std::string("two\nlines"),
                                std::string("  "),
                                std::string(3000, 'x')}) {
    const ProgramRun run = run_program({"seal", "wordless", "--key", "new.key", "--by", by}, s.dir);
    EXPECT_EQ(run.code, 64) << run.err;
    EXPECT_FALSE(fs::exists(s.dir / "new.key"));
  }
}

TEST(SealHonesty, NothingIsRemovedThatIsNoPartOfASeal) {
  const fs::path session = unsealed("photos of seals");
  fs::create_directories(session / "seal");
  put(session / "seal/harbour.jpg", "grey and wet");
  EXPECT_EQ(seal("photos of seals").code, 73);
  EXPECT_EQ(read_text(session / "seal/harbour.jpg"), "grey and wet");
}

// A seal that was stopped leaves a folder and no manifest: that is no seal.
TEST(SealHonesty, AnUnfinishedSealKeepsNobodyFromWorking) {
  const Sealed& s = Sealed::get();
  const fs::path session = unsealed("half sealed");
  fs::create_directories(session / "seal");
  put(session / "seal/certificate.pdf", "half");
  EXPECT_EQ(run_program({"watch", "half sealed", "--once", "--quiet"}, s.dir).code, 0);
  EXPECT_LE(run_program({"assess", "half sealed", "--quiet"}, s.dir).code, 3);
  EXPECT_EQ(seal("half sealed").code, 0);
  EXPECT_EQ(run_program({"audit", "half sealed"}, s.dir).code, 0);
}

TEST(SealHonesty, AnUnfinishedAgreementIsNone) {
  const fs::path session = unsealed("half agreed");
  fs::create_directories(session / "seal/agreed");
  put(session / "seal/agreed/signer.txt", std::string(64, 'a') + "\n");
  ASSERT_EQ(seal("half agreed").code, 0);
  EXPECT_FALSE(fs::exists(session / "seal/agreed"));
  EXPECT_EQ(run_program({"audit", "half agreed", "--hashes-only"}, Sealed::get().dir).code, 0);
}

TEST(SealHonesty, NothingIsWrittenIntoASealedFolder) {
  const Sealed& s = Sealed::get();
  const auto files = [&] { return std::distance(fs::recursive_directory_iterator(s.session), {}); };
  const auto before = files();
  for (const std::vector<std::string>& words :
       {std::vector<std::string>{"plan", "session", "--out", "session"},
        {"plan", "session", "--out", "session/more"},
        {"new", "session/inner", "--rig", "R12/300", "--yes"},
        {"demo", "--points", "40000", "--out", "session/demo"},
        {"trend", "R12/300", "--html", "session/trend.html"},
        {"rigs", "--html", "session/rigs.html"},
        {"rigs", "--csv", "session/rigs.csv"},
        {"rigs", "--export", "session/history.jsonl"}}) {
    const ProgramRun run = run_program(words, s.dir);
    EXPECT_EQ(run.code, 64) << words[0] << run.err;
    EXPECT_THAT(run.err, HasSubstr("sealed")) << words[0];
  }
  EXPECT_EQ(files(), before);
}

TEST(SealHonesty, WhoSealsIsAloneInTheSession) {
  const Sealed& s = Sealed::get();
  const fs::path session = unsealed("shared");
  {
    const FolderLock working(session, FolderLock::Kind::shared);
    EXPECT_EQ(seal("shared").code, 73);
    EXPECT_LE(run_program({"assess", "shared", "--quiet"}, s.dir).code, 3) << "many may work";
  }
  {
    const FolderLock sealing(session, FolderLock::Kind::alone);
    const ProgramRun run = run_program({"assess", "shared", "--quiet"}, s.dir);
    EXPECT_EQ(run.code, 73);
    EXPECT_THAT(run.err, HasSubstr("being sealed"));
  }
  EXPECT_EQ(seal("shared").code, 0);
}

TEST(SealHonesty, LimitsThatCameAfterTheAgreementAreNoAgreedLimits) {
  const Sealed& s = Sealed::get();
  const fs::path session = unsealed("lenient");
  const fs::path scans = s.dir / "lenient scans";
  const std::string limits = read_text(session / "limits.toml");
  const std::string words = read_text(session / "session.toml");
  fs::remove_all(scans);
  fs::rename(session / "scans", scans);
  fs::remove_all(session / "out");
  fs::remove(session / "limits.toml");
  std::string without;
  std::istringstream in(words.substr(0, words.find("[[scan]]")));
  for (std::string line; std::getline(in, line);)
    if (!line.starts_with("limits")) without += line + "\n";
  put(session / "session.toml", without);
  const ProgramRun agreed = seal("lenient");
  ASSERT_EQ(agreed.code, 0) << agreed.err;
  fs::rename(scans, session / "scans");
  put(session / "limits.toml", limits);
  put(session / "session.toml", words);
  ASSERT_LE(run_program({"assess", "lenient", "--quiet"}, s.dir).code, 3);
  const ProgramRun whole = seal("lenient");
  ASSERT_EQ(whole.code, 0) << whole.err;
  const ProgramRun audit = run_program({"audit", "lenient", "--hashes-only"}, s.dir);
  EXPECT_EQ(audit.code, 1);
  EXPECT_THAT(audit.out, HasSubstr("limits.toml came after"));
}

}  // namespace
}  // namespace rigproof
