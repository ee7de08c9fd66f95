// Seal, audit, bundle and redo as a person uses them, and what happens to a sealed session that
// somebody changes.
#include <algorithm>
#include <chrono>
#include <fstream>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "app/program.h"
#include "app/sealed_session.h"
#include "base/input_file.h"
#include "base/sha256.h"
#include "inputs/session.h"
#include "seal/key.h"
#include "seal/manifest.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;

TEST(Seal, AuditComputesTheSameFromTheScans) {
  const Sealed& s = Sealed::get();
  EXPECT_EQ(s.verdict, 0);
  const ProgramRun run = run_program({"audit", "session", "--json"}, s.dir);
  ASSERT_EQ(run.code, 0) << run.out << run.err;
  const auto j = run.json();
  EXPECT_EQ(j["outcome"], "matches");
  EXPECT_EQ(j["signature"], "good");
  EXPECT_EQ(j["signer"]["known"], true);
  EXPECT_EQ(j["authorised_by"], "A. Name");
  EXPECT_GE(j["values"].size(), 3u);
  for (const auto& value : j["values"]) EXPECT_EQ(value["difference"], 0.0) << value;
  for (const auto& note : j["notes"])
    EXPECT_THAT(std::string(note), testing::Not(HasSubstr("drawn")));
}

TEST(Seal, ItsKeyIsForTheOwnerAloneAndNotInTheSession) {
  const Sealed& s = Sealed::get();
  struct stat info{};
  ASSERT_EQ(::stat((s.dir / "lab.key").c_str(), &info), 0);
  EXPECT_EQ(info.st_mode & 0777, 0600u);
  const std::string secret = read_text(s.dir / "lab.key").substr(0, 64);
  for (const auto& entry : fs::recursive_directory_iterator(s.session))
    if (entry.is_regular_file()) {
      EXPECT_EQ(read_text(entry.path(), 64u << 20).find(secret), std::string::npos) << entry;
    }
  fs::create_directories(s.dir / "fresh");
  put(s.dir / "fresh/session.toml", "");
  EXPECT_EQ(run_program({"seal", "fresh", "--key", "fresh/key", "--by", "X"}, s.dir).code, 64);
  EXPECT_FALSE(fs::exists(s.dir / "fresh/key"));
}

// The way that docs/record.md tells: hex to bytes, the fixed DER head of an Ed25519 public key
// (RFC 8410), and a general tool.
TEST(Seal, OpensslChecksTheSignature) {
  const Sealed& s = Sealed::get();
  const std::string script = "cd '" + (s.session / "seal").string() + "' && t=$(mktemp -d) && " +
                             R"(unhex() { sed 's/../\\x&/g' | tr -d '\n' | xargs -0 printf '%b'; }
         unhex < signature.txt > $t/signature &&
         { printf '302a300506032b6570032100'; cat signer.txt; } | tr -d '\n' | unhex > $t/key.der &&
         openssl pkey -pubin -inform DER -in $t/key.der -out $t/key.pem &&
         openssl pkeyutl -verify -pubin -inkey $t/key.pem -rawin -in manifest.json -sigfile $t/signature >/dev/null &&
         cd .. && sha256sum --quiet -c seal/contents.sha256)";
  if (std::system("command -v openssl >/dev/null && command -v sha256sum >/dev/null") != 0)
    GTEST_SKIP() << "openssl is not installed";
  EXPECT_EQ(std::system(script.c_str()), 0);
}

TEST(Seal, ASealedSessionIsNeverWrittenAgain) {
  const Sealed& s = Sealed::get();
  const auto before = describe(s.session, files_below(s.session));
  const std::string scan = fs::directory_iterator(s.session / "scans")->path().filename();
  for (const std::vector<std::string>& words :
       {std::vector<std::string>{"assess", "session"},
        {"assess", "session", "--out", "session/again"},
        {"seal", "session", "--key", "lab.key", "--by", "B"},
        {"redo", "session", scan, "--why", "because"}}) {
    const ProgramRun run = run_program(words, s.dir);
    EXPECT_EQ(run.code, 64) << words[0] << run.err;
    EXPECT_THAT(run.err, HasSubstr("sealed"));
  }
  const ProgramRun outside = run_program({"assess", "session", "--out", "elsewhere"}, s.dir);
  EXPECT_EQ(outside.code, s.verdict) << outside.err;
  const auto after = describe(s.session, files_below(s.session));
  EXPECT_EQ(sha256sum_text(before), sha256sum_text(after));
}

TEST(Seal, NoFalseAlarmInAnotherFolderOrOnAnotherMachine) {
  const Sealed& s = Sealed::get();
  const fs::path moved = s.copy("moved to another place");
  EXPECT_EQ(run_program({"audit", moved}, s.dir).code, 0);
  // Another machine: other home, other time stamps, no key known yet.
  for (const auto& entry : fs::recursive_directory_iterator(moved))
    fs::last_write_time(entry, fs::file_time_type::clock::now() - std::chrono::hours(1000));
  ::setenv("RIGPROOF_HOME", (s.dir / "other-home").c_str(), 1);
  const ProgramRun stranger = run_program({"audit", moved, "--json"}, s.dir);
  EXPECT_EQ(stranger.code, 0) << stranger.out;
  EXPECT_EQ(stranger.json()["signer"]["known"], false);
  EXPECT_EQ(stranger.json()["findings"][0]["id"], "unknown-signer");
  ::setenv("RIGPROOF_HOME", s.home.c_str(), 1);
}

// A day that was taken from the scans' times stays the sealed one when a copy has other times.
TEST(Seal, ACopyOfAnUndatedSessionKeepsItsDay) {
  const Sealed& s = Sealed::get();
  const fs::path session = s.copy("undated");
  fs::remove_all(session / "out");
  fs::remove_all(session / "seal");
  std::string kept;
  std::ifstream in(session / "session.toml");
  for (std::string line; std::getline(in, line);)
    if (!line.starts_with("date") && !line.starts_with("id")) kept += line + "\n";
  put(session / "session.toml", "id = \"spring\"\n" + kept);
  ASSERT_EQ(run_program({"assess", session, "--quiet"}).code, 0);
  ASSERT_EQ(run_program({"seal", session, "--key", s.dir / "lab.key", "--by", "A. Name"}).code, 0);
  // Ten years later the drift since calibration would be another.
  for (const auto& entry : fs::directory_iterator(session / "scans"))
    fs::last_write_time(entry, fs::last_write_time(entry) + std::chrono::hours(24 * 3652));
  const ProgramRun audit = run_program({"audit", session, "--json"});
  EXPECT_EQ(audit.code, 0) << audit.out << audit.err;
  EXPECT_EQ(audit.json()["outcome"], "matches");
  const ProgramRun bundle = run_program({"bundle", session, "--out", s.dir / "undated-customer"});
  EXPECT_EQ(bundle.code, 0) << bundle.err;
  EXPECT_EQ(run_program({"audit", s.dir / "undated-customer", "--json"}).json()["outcome"],
            "matches");
}

TEST(Seal, AnotherKeyIsCaughtAlthoughAllElseIsInOrder) {
  const Sealed& s = Sealed::get();
  const fs::path forged = s.copy("forged");
  const SigningKey other = SigningKey::create(s.dir / "other.key");
  Manifest m = parse_manifest(read_text(forged / "seal/manifest.json"));
  m.key = other.public_hex();
  put(forged / "seal/manifest.json", manifest_text(m));
  put(forged / "seal/signer.txt", m.key + "\n");
  put(forged / "seal/signature.txt", other.sign(manifest_text(m)) + "\n");
  const ProgramRun run = run_program({"audit", "forged", "--hashes-only", "--json"}, s.dir);
  EXPECT_EQ(run.code, 1);
  EXPECT_EQ(run.json()["findings"][0]["id"], "unknown-signer");
  // Whoever trusts that key for this audit sees that the certificate names the first one.
  const ProgramRun trusted =
      run_program({"audit", "forged", "--hashes-only", "--json", "--signer", m.key}, s.dir);
  EXPECT_EQ(trusted.code, 1);
  EXPECT_EQ(trusted.json()["findings"][0]["id"], "certificate-edited");
}

// Values changed in results.json, all hashes made good and signed again with the right key: only
// computing again tells.
TEST(Seal, AValueThatTheScansDoNotGiveIsCaughtByComputingAgain) {
  const Sealed& s = Sealed::get();
  const fs::path forged = s.copy("resigned");
  Manifest m = parse_manifest(read_text(forged / "seal/manifest.json"));
  std::string text = read_text(forged / m.results, 64u << 20);
  const auto at = text.find("\"measured\": ") + 12;
  text[text.find('.', at) + 3] = text[text.find('.', at) + 3] == '5' ? '6' : '5';
  put(forged / m.results, text);
  for (auto& file : m.files)
    if (file.path == m.results) file = describe(forged, {m.results})[0];
  const SigningKey key = SigningKey::load(s.dir / "lab.key");
  put(forged / "seal/manifest.json", manifest_text(m));
  put(forged / "seal/signature.txt", key.sign(manifest_text(m)) + "\n");
  const ProgramRun run = run_program({"audit", "resigned", "--json"}, s.dir);
  EXPECT_EQ(run.code, 1) << run.err;
  int different = 0;
  const auto j = run.json();
  for (const auto& value : j["values"]) different += value["same"] == false;
  EXPECT_EQ(different, 1);
}

TEST(Seal, AMissingScanCannotBeRecomputed) {
  const Sealed& s = Sealed::get();
  const fs::path lost = s.copy("lost");
  fs::remove(fs::directory_iterator(lost / "scans")->path());
  const ProgramRun run = run_program({"audit", "lost", "--json"}, s.dir);
  EXPECT_NE(run.code, 0);
  EXPECT_EQ(run.json()["findings"][0]["id"], "raw-missing");
  const fs::path unsealed = s.copy("unsealed");
  fs::remove_all(unsealed / "seal");
  EXPECT_EQ(run_program({"audit", "unsealed"}, s.dir).code, 66);
}

// Read once, however often the results list it: five thousand times would take minutes.
TEST(Seal, AnInputThatIsListedOftenIsReadOnce) {
  const Sealed& s = Sealed::get();
  const fs::path session = s.copy("repeated");
  fs::remove_all(session / "seal");
  put(session / "large.bin", "");
  fs::resize_file(session / "large.bin", 64u << 20);
  const std::string digest = sha256_file(session / "large.bin");
  auto results = nlohmann::ordered_json::parse(read_text(session / "out/results.json", 64u << 20));
  for (int i = 0; i < 5000; ++i)
    results["inputs"].push_back({{"path", "large.bin"}, {"sha256", digest}, {"bytes", 64u << 20}});
  put(session / "out/results.json", results.dump(2));
  const std::vector<std::string> seal{"seal", "repeated", "--key", "lab.key", "--by", "A. Name"};
  const auto start = std::chrono::steady_clock::now();
  EXPECT_EQ(run_program(seal, s.dir).code, 0);
  EXPECT_LT(std::chrono::steady_clock::now() - start, std::chrono::minutes(1));
  // An entry that says otherwise is still believed to be one.
  fs::remove_all(session / "seal");
  results["inputs"].back()["sha256"] = std::string(64, '0');
  put(session / "out/results.json", results.dump(2));
  EXPECT_EQ(run_program(seal, s.dir).code, 65);
}

TEST(Seal, TwoRunsAtOnceAgreeOnOneKey) {
  const Sealed& s = Sealed::get();
  for (const char* name : {"first", "second"}) fs::remove_all(s.copy(name) / "seal");
  const auto seal = [](const char* session) {
    return std::vector<std::string>{"seal", session, "--key", "shared/new.key", "--by", "A. Name"};
  };
  ProgramRun second;
  const ProgramRun first = run_program(
      seal("first"), s.dir, Mishap{0, 0, 0, [&] { second = run_program(seal("second"), s.dir); }});
  EXPECT_EQ(first.code, 0) << first.err;
  EXPECT_EQ(second.code, 0) << second.err;
  EXPECT_EQ(read_text(s.dir / "first/seal/signer.txt"),
            read_text(s.dir / "second/seal/signer.txt"));
  const ProgramRun audit = run_program({"audit", "first", "--hashes-only", "--json"}, s.dir);
  EXPECT_EQ(audit.json()["signer"]["known"], true) << audit.out;
  EXPECT_EQ(std::distance(fs::directory_iterator(s.dir / "shared"), {}), 1);
}

TEST(Seal, LimitsAndPlanMayBeSealedBeforeTheFirstScan) {
  const Sealed& s = Sealed::get();
  const fs::path early = s.copy("early");
  fs::remove_all(early / "seal");
  fs::rename(early / "scans", s.dir / "early-scans");
  for (const auto& entry : std::vector<fs::directory_entry>(fs::directory_iterator(early), {}))
    if (entry.path().filename().string().starts_with("out")) fs::remove_all(entry);
  fs::create_directories(early / "scans");
  const std::string with_scans = read_text(early / "session.toml");
  put(early / "session.toml", with_scans.substr(0, with_scans.find("[[scan]]")));
  const std::vector<std::string> seal{"seal", "early", "--key", "lab.key", "--by", "A. Name"};
  const ProgramRun first = run_program(seal, s.dir);
  EXPECT_EQ(first.code, 0) << first.err;
  EXPECT_THAT(first.out, HasSubstr("Limits and plan"));
  EXPECT_EQ(run_program(seal, s.dir).code, 64) << "once";
  EXPECT_EQ(run_program({"audit", "early"}, s.dir).code, 3) << "nothing to compute yet";
  fs::remove_all(early / "scans");
  fs::rename(s.dir / "early-scans", early / "scans");
  put(early / "session.toml", with_scans);
  EXPECT_EQ(run_program(seal, s.dir).code, 66) << "not assessed yet";
  EXPECT_EQ(run_program({"assess", "early", "--quiet"}, s.dir).code, s.verdict);
  EXPECT_EQ(run_program(seal, s.dir).code, 0);
  EXPECT_EQ(run_program({"audit", "early", "--hashes-only"}, s.dir).code, 0);
  // Wider limits after the agreement, sealed anew with the right key: the agreement tells.
  const fs::path wider = s.dir / "wider";
  fs::copy(early, wider, fs::copy_options::recursive);
  for (const char* name : {"manifest.json",
                           "signature.txt",
                           "signer.txt",
                           "contents.sha256",
                           "certificate.pdf",
                           "certificate.html"})
    fs::remove(wider / "seal" / name);
  put(wider / "limits.toml", read_text(wider / "limits.toml") + "\n# wider\n");
  EXPECT_LE(run_program({"assess", "wider", "--quiet"}, s.dir).code, 3);
  EXPECT_EQ(run_program({"seal", "wider", "--key", "lab.key", "--by", "A. Name"}, s.dir).code, 0);
  const ProgramRun audit = run_program({"audit", "wider", "--hashes-only"}, s.dir);
  EXPECT_EQ(audit.code, 1);
  EXPECT_THAT(audit.out, HasSubstr("not what was agreed"));
}

TEST(Bundle, IsComputedAgainFromItsCutOuts) {
  const Sealed& s = Sealed::get();
  const ProgramRun run = run_program({"bundle", "session", "--out", "customer", "--json"}, s.dir);
  ASSERT_EQ(run.code, 0) << run.err;
  const auto j = run.json();
  EXPECT_EQ(j["whole"], 0);
  EXPECT_LT(j["bytes"].get<double>(), j["raw_bytes"].get<double>());
  for (const char* name : {"certificate.pdf", "results.json", "raw-files.sha256", "bundle.json"})
    EXPECT_TRUE(fs::exists(s.dir / "customer" / name)) << name;
  const ProgramRun audit = run_program({"audit", "customer", "--json"}, s.dir);
  EXPECT_EQ(audit.code, 0) << audit.out;
  EXPECT_EQ(audit.json()["from"], "cut-outs");
  EXPECT_EQ(audit.json()["recomputed"], true);
  // A certificate that says something else, or other points.
  std::string page = read_text(s.dir / "customer/certificate.html");
  page[page.size() / 2] ^= 1;
  put(s.dir / "customer/certificate.html", page);
  const ProgramRun edited = run_program({"audit", "customer", "--hashes-only", "--json"}, s.dir);
  EXPECT_EQ(edited.code, 1);
  EXPECT_EQ(edited.json()["findings"][0]["id"], "certificate-edited");
}

TEST(Bundle, AuditSaysWhatTheSignatureDoesNotCover) {
  const Sealed& s = Sealed::get();
  ASSERT_EQ(run_program({"bundle", "session", "--out", "unsigned"}, s.dir).code, 0);
  const auto scans = std::distance(fs::directory_iterator(s.dir / "unsigned/scans"), {});
  const ProgramRun quick = run_program({"audit", "unsigned", "--hashes-only", "--json"}, s.dir);
  EXPECT_EQ(quick.code, 0) << quick.out;
  const auto hashes = quick.json()["files"];
  EXPECT_EQ(hashes["cut_outs"].size(), static_cast<std::size_t>(scans));
  EXPECT_EQ(hashes["unvouched"], hashes["cut_outs"]);
  const auto files = run_program({"audit", "unsigned", "--json"}, s.dir).json()["files"];
  EXPECT_EQ(files["cut_outs"], hashes["cut_outs"]);
  EXPECT_LT(files["unvouched"].size(), files["cut_outs"].size()) << files;
  const ProgramRun people = run_program({"audit", "unsigned"}, s.dir);
  EXPECT_THAT(people.out, HasSubstr("the signature does not cover these cut-outs"));
  EXPECT_THAT(people.out, HasSubstr("a customer folder holds a part of what was sealed"));
  EXPECT_THAT(run_program({"audit", "session"}, s.dir).out,
              testing::Not(HasSubstr("customer folder")));
}

// The log of temperatures is a part of the session: without it nothing is computed again.
TEST(Bundle, HoldsTheTemperatureLogOfTheSession) {
  const Sealed& s = Sealed::get();
  const fs::path folder = s.copy("logged");
  fs::remove_all(folder / "seal");
  fs::remove_all(folder / "out");
  put(folder / "room.csv", "2026-03-14 09:30,20.0\n2026-03-14 10:30,20.1\n");
  Session session = load_session(folder);
  session.environment.log = "./room.csv";
  save_session(session);
  ASSERT_LE(run_program({"assess", "logged", "--quiet"}, s.dir).code, 3);
  ASSERT_EQ(run_program({"seal", "logged", "--key", "lab.key", "--by", "A. Name"}, s.dir).code, 0);
  const ProgramRun bundle = run_program({"bundle", "logged", "--out", "with_log"}, s.dir);
  ASSERT_EQ(bundle.code, 0) << bundle.err;
  EXPECT_EQ(read_text(s.dir / "with_log/room.csv"), read_text(folder / "room.csv"));
  EXPECT_EQ(run_program({"audit", "with_log"}, s.dir).code, 0);
  put(s.dir / "with_log/room.csv", "2026-03-14 09:30,25.0\n");
  EXPECT_EQ(run_program({"audit", "with_log"}, s.dir).code, 1);
}

// bundle.json bears no signature: whoever can write the folder can write it, too.
TEST(Bundle, AnIndexExemptsNothingFromTheSignature) {
  const Sealed& s = Sealed::get();
  const fs::path session = s.copy("indexed");
  put(session / "bundle.json",
      R"({"schema": "rigproof-bundle-1", "cut_outs": [], "sealed_as": {}})");
  fs::remove(session / "out/values.csv");
  const ProgramRun whole = run_program({"audit", "indexed", "--json"}, s.dir);
  EXPECT_EQ(whole.code, 1);
  EXPECT_EQ(whole.json()["outcome"], "differs");
  ASSERT_EQ(run_program({"bundle", "session", "--out", "exempt"}, s.dir).code, 0);
  const fs::path folder = s.dir / "exempt";
  const std::string honest = read_text(folder / "bundle.json");
  for (const char* name : {"values.csv", "certificate.pdf", "limits.toml", "raw-files.sha256"}) {
    const std::string before = read_text(folder / name);
    put(folder / name, before + " ");
    auto index = nlohmann::json::parse(honest);
    index["cut_outs"].push_back({{"scan", name},
                                 {"whole", false},
                                 {"bytes", before.size() + 1},
                                 {"sha256", sha256_file(folder / name)}});
    put(folder / "bundle.json", index.dump());
    EXPECT_EQ(run_program({"audit", "exempt"}, s.dir).code, 1) << name;
    EXPECT_EQ(run_program({"audit", "exempt", "--hashes-only"}, s.dir).code, 1) << name;
    put(folder / name, before);
    put(folder / "bundle.json", honest);
  }
  EXPECT_EQ(run_program({"audit", "exempt"}, s.dir).code, 0);
}

// The points of a cut-out are vouched for by what is computed from them.
TEST(Bundle, OtherPointsAreCaughtByComputingAgain) {
  const Sealed& s = Sealed::get();
  ASSERT_EQ(run_program({"bundle", "session", "--out", "other-points"}, s.dir).code, 0);
  const fs::path folder = s.dir / "other-points";
  auto index = nlohmann::json::parse(read_text(folder / "bundle.json"));
  const std::string first = index["cut_outs"][0]["scan"], second = index["cut_outs"][1]["scan"];
  fs::copy_file(folder / second, folder / first, fs::copy_options::overwrite_existing);
  for (const char* fact : {"bytes", "sha256"})
    index["cut_outs"][0][fact] = index["cut_outs"][1][fact];
  put(folder / "bundle.json", index.dump());
  EXPECT_EQ(run_program({"audit", "other-points"}, s.dir).code, 1);
  // Left out of index and folder alike, it is missed.
  fs::remove(folder / first);
  index["cut_outs"].erase(0);
  put(folder / "bundle.json", index.dump());
  EXPECT_EQ(run_program({"audit", "other-points", "--hashes-only"}, s.dir).code, 3);
}

TEST(Bundle, SweepsWhatAKilledRunLeft) {
  const Sealed& s = Sealed::get();
  const pid_t gone = ::fork();
  if (gone == 0) ::_exit(0);
  ::waitpid(gone, nullptr, 0);
  const fs::path parent = s.dir / "swept";
  const std::string name = ".rigproof-unfinished-";
  const fs::path left = parent / (name + std::to_string(gone) + "-abcdef");
  const fs::path alive = parent / (name + std::to_string(::getpid()) + "-abcdef");
  fs::create_directories(left / "scans");
  fs::create_directories(alive / "scans");
  ASSERT_EQ(run_program({"bundle", "session", "--out", "swept/customer/"}, s.dir).code, 0);
  EXPECT_FALSE(fs::exists(left));
  EXPECT_TRUE(fs::exists(alive));
  EXPECT_TRUE(fs::exists(parent / "customer/bundle.json"));
}

TEST(Bundle, OnlyOfASealedSessionAndNeverIntoIt) {
  const Sealed& s = Sealed::get();
  EXPECT_EQ(run_program({"bundle", "session", "--out", "session/customer"}, s.dir).code, 64);
  const fs::path unsealed = s.copy("not sealed");
  fs::remove_all(unsealed / "seal");
  EXPECT_EQ(run_program({"bundle", "not sealed"}, s.dir).code, 64);
  const fs::path edited = s.copy("edited");
  put(edited / "session.toml", read_text(edited / "session.toml") + "\n# changed\n");
  EXPECT_EQ(run_program({"bundle", "edited"}, s.dir).code, 65);
  EXPECT_FALSE(fs::exists(s.dir / "edited-customer"));
}

TEST(Redo, AWithdrawnScanStaysOnRecordWithItsReason) {
  const Sealed& s = Sealed::get();
  const fs::path session = s.copy("redo");
  fs::remove_all(session / "seal");
  const std::string comment = "# a comment of mine\n";
  put(session / "session.toml", comment + read_text(session / "session.toml"));
  std::vector<std::string> scans;
  for (const auto& entry : fs::directory_iterator(session / "scans"))
    scans.push_back(entry.path().filename());
  std::ranges::sort(scans);
  EXPECT_EQ(run_program({"redo", "redo", scans[0], "--why", " "}, s.dir).code, 64);
  EXPECT_EQ(run_program({"redo", "redo", "scan-of-nobody", "--why", "x"}, s.dir).code, 64);
  // Nothing that session.toml cannot hold is written into it.
  const std::string before = read_text(session / "session.toml");
  for (const std::string& why :
       {std::string("two\nlines"), std::string("ber\xfchrt"), std::string(2100, 'x')})
    EXPECT_EQ(run_program({"redo", "redo", scans[0], "--why", why}, s.dir).code, 64) << why;
  EXPECT_EQ(read_text(session / "session.toml"), before);
  const ProgramRun run =
      run_program({"redo", "redo", scans[0], "--why", "the \"stand\" was touched"}, s.dir);
  EXPECT_EQ(run.code, 0) << run.err;
  EXPECT_THAT(read_text(session / "session.toml"), testing::StartsWith(comment));
  EXPECT_EQ(run_program({"redo", "redo", scans[0], "--why", "again"}, s.dir).code, 64);
  // The second goes by the name alone, from inside the folder.
  EXPECT_EQ(run_program({"redo", scans[1], "--why", "lamp off"}, session).code, 0);
  const auto results = run_program({"assess", "redo", "--json"}, s.dir).json();
  int withdrawn = 0;
  for (const auto& scan : results["scans"])
    if (scan["status"] == "withdrawn") {
      ++withdrawn;
      EXPECT_THAT(std::string(scan["reason"]),
                  testing::AnyOf("the \"stand\" was touched", "lamp off"));
    }
  EXPECT_EQ(withdrawn, 2);
}

}  // namespace
}  // namespace rigproof
