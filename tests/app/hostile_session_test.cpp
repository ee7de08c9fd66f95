// A session whose every free text and every file name is hostile, from its files to its outputs.
#include <algorithm>
#include <fstream>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "app/program.h"
#include "base/input_file.h"
#include "inputs/session.h"
#include "report/hostile_results.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;
using testing::Not;

std::string contents(const fs::path& file) { return read_text(file, 64u << 20); }

// A name of at most 200 bytes that a folder can hold.
std::string file_name(std::string text, std::size_t number) {
  std::ranges::replace(text, '/', '|');
  return text.substr(0, 200) + std::to_string(number) + ".ply";
}

void spoil(Session& s, std::size_t first) {
  // What session files refuse: text that is not UTF-8, control characters, more than 2000 bytes,
  // and names of files that are no plain names.
  std::vector<std::string> texts = hostile_texts();
  std::erase_if(texts, [](const std::string& t) {
    return t.find('\xff') != std::string::npos || t.find('\x1b') != std::string::npos;
  });
  for (std::string& t : texts) t.resize(std::min<std::size_t>(t.size(), 2000));
  std::size_t next = first;
  const auto text = [&] { return texts[next++ % texts.size()]; };
  for (std::string* field : {&s.operator_name,
                             &s.customer,
                             &s.calibration,
                             &s.rig.serial,
                             &s.limits.set_by,
                             &s.limits.role,
                             &s.procedure.title,
                             &s.procedure.style,
                             &s.procedure.retest})
    *field = text();
  s.procedure.deviations = {text(), text()};
  for (Artefact& a : s.artefacts)
    for (std::string* field : {&a.certificate, &a.laboratory, &a.support, &a.surface})
      *field = text();
}

fs::path hostile_session(std::size_t first) {
  const fs::path dir = scratch_folder("hostile");
  run_program({"demo", "--out", "s", "--points", "40000", "--seed", "3", "--quiet"}, dir);
  Session session = load_session(dir / "s");
  spoil(session, first);
  session.overrides.clear();
  save_session(session);
  const std::vector<std::string> texts = hostile_texts();
  for (std::size_t i = 0; i < session.scans.size(); ++i) {
    const fs::path scan = dir / "s" / session.scans[i];
    fs::rename(scan, scan.parent_path() / file_name(texts[(i + first) % texts.size()], i));
  }
  fs::remove_all(dir / "s/out");
  return dir / "s";
}

/// No control byte but newlines, no mark that turns or hides text, no invalid UTF-8.
void expect_harmless(const std::string& text, const std::string& where) {
  for (std::size_t i = 0; i < text.size(); ++i) {
    const auto byte = static_cast<unsigned char>(text[i]);
    ASSERT_TRUE(byte >= 0x20 || byte == '\n' || byte == '\r') << where << " at " << i;
    ASSERT_NE(byte, 0x7F) << where << " at " << i;
  }
  for (const char* mark : {"\u202E", "\u2066", "\xff", "\xc0\xaf"})
    EXPECT_THAT(text, Not(HasSubstr(mark))) << where;
}

TEST(HostileSession, ComesOutInertEverywhere) {
  for (const std::size_t first : {0, 4}) {
    const fs::path session = hostile_session(first);
    const ProgramRun run = run_program({"assess", session, "--verbose"});
    ASSERT_TRUE(run.code >= 0 && run.code <= 3) << run.code << run.err.substr(0, 2000);
    expect_harmless(run.out, "stdout");
    expect_harmless(run.err, "stderr");
    const fs::path out = session / "out";
    for (const char* name : {"report.html",
                             "certificate.html",
                             "handover.html",
                             "values.csv",
                             "positions.csv",
                             "log.txt"})
      expect_harmless(contents(out / name), name);
    for (const char* name : {"report.html", "certificate.html", "handover.html"}) {
      const std::string page = contents(out / name);
      for (const char* markup : {"<script>alert", "<img", "<!--<", "onerror=alert(1)>"})
        EXPECT_THAT(page, Not(HasSubstr(markup))) << name;
    }
    const std::string results = contents(out / "results.json");
    EXPECT_EQ(nlohmann::json::parse(results)["scans"].size(), 15u);
    expect_harmless(results, "results.json");
    const std::string pdf = "'" + (out / "certificate.pdf").string() + "'";
    EXPECT_EQ(std::system(("qpdf --check " + pdf + " >/dev/null").c_str()), 0);
    const fs::path text = session.parent_path() / "text";
    EXPECT_EQ(std::system(("pdftotext " + pdf + " '" + text.string() + "'").c_str()), 0);
    std::string words = contents(text);
    std::erase(words, '\f');
    expect_harmless(words, "certificate.pdf");
    const ProgramRun again = run_program({"report", session});
    EXPECT_EQ(again.code, 0) << again.err.substr(0, 2000);
    EXPECT_EQ(contents(session / "out-2/certificate.pdf"), contents(out / "certificate.pdf"));
  }
}

// What session files refuse is named without being repeated.
TEST(HostileSession, RefusedTextDoesNotReachTheTerminal) {
  const fs::path dir = scratch_folder("refused_text");
  fs::create_directories(dir / "s/scans");
  for (const std::string& text : hostile_texts()) {
    std::ofstream(dir / "s/session.toml") << "schema = 1\nid = \"x\"\nkind = \"" << text << "\"\n";
    const ProgramRun run = run_program({"assess", dir / "s"});
    EXPECT_TRUE(run.code == 78 || run.code == 66) << run.code;
    EXPECT_FALSE(run.err.empty());
    expect_harmless(run.out + run.err, "terminal");
  }
}

// What a report or a run takes from beside the scans is of the session, or refused.
TEST(HostileSession, NoLinkOfAnyPartLeadsOut) {
  const fs::path dir = scratch_folder("links_out");
  run_program({"demo", "--procedure", "interim", "--out", "s", "--points", "20000", "--quiet"},
              dir);
  fs::create_directories(dir / "private/out");
  std::ofstream(dir / "private/issuer.toml") << "name = \"Somebody Else\"\n";
  fs::copy(dir / "s/out", dir / "private/out", fs::copy_options::overwrite_existing);
  const auto refused = [&](const std::string& name, const fs::path& to, const char* command) {
    const fs::path part = dir / "s" / name;
    const bool there = fs::exists(part);
    if (there) fs::rename(part, dir / "aside");
    fs::create_symlink(to, part);
    const ProgramRun run = run_program({command, "s", "--quiet"}, dir);
    EXPECT_EQ(run.code, 78) << name << run.err;
    EXPECT_THAT(run.err, HasSubstr("leads outside the session folder")) << name;
    fs::remove(part);
    if (there) fs::rename(dir / "aside", part);
  };
  refused("photos", dir / "private", "report");
  refused("issuer.toml", dir / "private/issuer.toml", "report");
  refused("out", dir / "private/out", "report");
  refused("out", "../private/out", "assess");
  // Nor is anything out there hashed.
  refused("plan.toml", dir / "private/issuer.toml", "assess");
  refused("artefacts/notes.txt", dir / "private/issuer.toml", "assess");
  EXPECT_EQ(run_program({"report", "s", "--quiet"}, dir).code, 0);
}

// Where the program is run must not matter to a session that is complete in itself.
TEST(HostileSession, AFileOfTheCurrentFolderIsNotTakenForAPartOfIt) {
  const fs::path dir = scratch_folder("elsewhere");
  fs::create_directories(dir / "s/scans");
  std::ofstream(dir / "x.toml") << "id = \"R1\"\nunits = \"mm\"\n";
  std::ofstream(dir / "s/session.toml") << "schema = 1\nrig = \"x.toml\"\n";
  const ProgramRun run = run_program({"assess", "s"}, dir);
  EXPECT_EQ(run.code, 78) << run.err;
  EXPECT_THAT(run.err, HasSubstr("session.toml:2:7"));
  EXPECT_THAT(run.err, HasSubstr("rig.toml is not in the session folder"));
}

}  // namespace
}  // namespace rigproof
