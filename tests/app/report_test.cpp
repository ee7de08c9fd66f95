// The documents as a person gets them: from assess, and again from report; checked with general
// tools (qpdf, poppler).
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <set>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "app/program.h"
#include "base/input_file.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;
using testing::Not;

std::string contents(const fs::path& file) { return read_text(file, 64u << 20); }

/// What a command says, stdout and stderr together; its exit code in `code`.
std::string said(const std::string& command, int* code = nullptr) {
  std::string out;
  FILE* pipe = ::popen((command + " 2>&1").c_str(), "r");
  char block[4096];
  for (std::size_t n; (n = std::fread(block, 1, sizeof block, pipe)) > 0;) out.append(block, n);
  const int status = ::pclose(pipe);
  if (code) *code = status;
  return out;
}

/// A virtual rig's session, made and assessed once for this process, with an issuer of its own.
const fs::path& assessed() {
  static const fs::path session = [] {
    const fs::path dir = scratch_folder("report");
    ::setenv("RIGPROOF_HOME", (dir / "home").c_str(), 1);
    fs::create_directories(dir / "home");
    std::ofstream(dir / "home/issuer.toml")
        << "name = \"Example Test House\"\naddress = [\"1 Invented Street\", \"Exampleton\"]\n"
           "languages = [\"en\", \"de\"]\npaper = \"Letter\"\n";
    run_program({"demo", "--out", "session", "--points", "40000", "--quiet"}, dir);
    fs::remove_all(dir / "session/out");
    std::ofstream(dir / "session/limits.toml")
        << "set_by = \"test\"\ndate = 2026-01-01\nrule = \"proven\"\n[mm]\nprobing_form = 0.2\n"
           "probing_size = 0.2\nsphere_spacing = 0.1\nflatness = 0.2\n";
    run_program({"assess", "session", "--quiet"}, dir);
    return dir / "session";
  }();
  return session;
}

constexpr const char* kDocuments[] = {"results.json",
                                      "values.csv",
                                      "positions.csv",
                                      "report.html",
                                      "certificate.pdf",
                                      "certificate.html",
                                      "handover.html",
                                      "certificate-de.pdf",
                                      "certificate-de.html",
                                      "handover-de.html",
                                      "log.txt"};

TEST(Documents, AssessWritesThemAllAndTheCertificatePassesGeneralTools) {
  for (const char* name : kDocuments)
    EXPECT_GT(fs::file_size(assessed() / "out" / name), 0u) << name;
  EXPECT_THAT(contents(assessed() / "out/certificate.html"), HasSubstr("Example Test House"));
  EXPECT_THAT(contents(assessed() / "out/certificate-de.html"), HasSubstr("<html lang=\"de\">"));
  const fs::path out = assessed() / "out";
  const auto results = nlohmann::json::parse(contents(out / "results.json"));
  for (const char* name : {"certificate.pdf", "certificate-de.pdf"}) {
    const std::string file = "'" + (out / name).string() + "'";
    int code = -1;
    EXPECT_THAT(said("qpdf --check " + file, &code),
                HasSubstr("No syntax or stream encoding errors"));
    EXPECT_EQ(code, 0);
    const std::string info = said("pdfinfo " + file);
    EXPECT_THAT(info, HasSubstr("Pages:           2\n"));
    EXPECT_THAT(info, HasSubstr("612 x 792 pts (letter)"));
    EXPECT_THAT(info, HasSubstr("JavaScript:      no"));
    for (const char* key : {"Title:", "Author:", "Subject:", "Keywords:"})
      EXPECT_THAT(info, HasSubstr(key));
    EXPECT_EQ(said("qpdf --show-attachment=results.json " + file), contents(out / "results.json"));
    // Every font line ends in: emb sub uni object ID.
    const std::string fonts = said("pdffonts " + file);
    EXPECT_THAT(fonts, HasSubstr(" yes yes yes "));
    EXPECT_THAT(fonts, Not(HasSubstr(" no ")));
    const std::string text = said("pdftotext -layout " + file + " -");
    for (const auto& c : results["characteristics"]) {
      if (!c["judged"].get<bool>()) continue;
      const double worst = c["worst"]["value"];
      std::string shown = std::to_string(std::round(std::abs(worst) * 1e4) / 10);  // 0.1 µm
      shown = shown.substr(0, shown.find('.') + 2);
      if (std::string(name).find("-de") != std::string::npos) std::ranges::replace(shown, '.', ',');
      EXPECT_THAT(text, HasSubstr(shown)) << name << c["id"];
    }
    EXPECT_THAT(text, HasSubstr(results["session"]["id"].get<std::string>()));
  }
}

TEST(Report, GivesTheSameBytesAgainWithoutTheScansAndOtherLanguagesAndUnits) {
  const fs::path dir = scratch_folder("again");
  fs::copy(assessed(), dir / "s", fs::copy_options::recursive);
  std::vector<fs::path> scans;
  for (const auto& entry : fs::directory_iterator(dir / "s/scans")) scans.push_back(entry.path());
  for (const fs::path& scan : scans) fs::resize_file(scan, 0);
  const ProgramRun run = run_program({"report", dir / "s", "--json"});
  ASSERT_EQ(run.code, 0) << run.err;
  EXPECT_EQ(run.json()["folder"], (dir / "s/out-2").string());
  std::set<std::string> before, after;
  for (const auto& entry : fs::directory_iterator(dir / "s/out")) {
    const std::string name = entry.path().filename();
    EXPECT_EQ(contents(entry.path()), contents(dir / "s/out-2" / name)) << name;
    before.insert(name);
  }
  const auto told = run.json();
  for (const auto& name : told["written"]) after.insert(name);
  EXPECT_EQ(before, after);

  const ProgramRun german = run_program(
      {"report", assessed(), "--lang", "de", "--units", "inch", "--out", dir / "customer"});
  ASSERT_EQ(german.code, 0) << german.err;
  EXPECT_THAT(german.out, HasSubstr("Next: "));
  const std::string page = contents(dir / "customer/report.html");
  EXPECT_THAT(page, HasSubstr("<html lang=\"de\">"));
  EXPECT_THAT(page, HasSubstr("µin"));
  EXPECT_FALSE(fs::exists(dir / "customer/certificate-de.pdf"));
  // The session before this one beside it: here the same, so that every value comes twice.
  const ProgramRun beside = run_program(
      {"report", dir / "s", "--after", assessed(), "--out", dir / "after", "--lang", "en"});
  ASSERT_EQ(beside.code, 0) << beside.err;
  const std::string sheet = contents(dir / "after/handover.html");
  const std::size_t arrow = sheet.find(" → ");
  ASSERT_NE(arrow, std::string::npos);
  const std::string before_value =
      sheet.substr(sheet.rfind(' ', arrow - 1) + 1, arrow - sheet.rfind(' ', arrow - 1) - 1);
  EXPECT_EQ(sheet.substr(arrow + std::string(" → ").size(), before_value.size()), before_value);
  EXPECT_THAT(contents(dir / "customer/handover.html"), Not(HasSubstr(" → ")));
  // Machines read the same numbers whatever people read.
  for (const char* name : {"results.json", "values.csv", "positions.csv"})
    EXPECT_EQ(contents(dir / "customer" / name), contents(assessed() / "out" / name)) << name;
}

TEST(Report, RefusesWhatIsNotThereOrHasChanged) {
  const fs::path dir = scratch_folder("refuse_report");
  EXPECT_EQ(run_program({"report", dir}).code, 66);
  fs::copy(assessed(), dir / "s", fs::copy_options::recursive);
  EXPECT_EQ(run_program({"report", dir / "s", "--lang", "xx"}).code, 64);
  EXPECT_EQ(run_program({"report", dir / "s", "--units", "feet"}).code, 64);
  EXPECT_EQ(run_program({"report", dir / "s", "--after", dir / "none"}).code, 66);
  const auto refused = [&](const char* words) {
    const ProgramRun run = run_program({"report", dir / "s"});
    EXPECT_EQ(run.code, 65) << words;
    EXPECT_THAT(run.err, HasSubstr(words));
  };
  const std::string limits = contents(dir / "s/limits.toml");
  std::ofstream(dir / "s/limits.toml", std::ios::app) << "# wider\n";
  refused("limits.toml: has changed since");
  fs::remove(dir / "s/limits.toml");
  refused("limits");
  fs::remove_all(dir / "s/out");
  run_program({"assess", dir / "s", "--quiet"});
  std::ofstream(dir / "s/limits.toml") << limits;
  refused("limits");
  EXPECT_FALSE(fs::exists(dir / "s/out-2"));
  fs::remove_all(dir / "s/out");
  EXPECT_THAT(run_program({"report", dir / "s"}).err, HasSubstr("rigproof assess"));

  // A sealed folder is never written again.
  fs::create_directories(dir / "s/seal");
  std::ofstream(dir / "s/seal/manifest.json") << "any";
  EXPECT_EQ(run_program({"report", dir / "s"}).code, 64);
  EXPECT_EQ(run_program({"report", dir / "s", "--out", dir / "s/x/../new"}).code, 64);
  EXPECT_EQ(run_program({"assess", dir / "s"}).code, 64);
  EXPECT_FALSE(fs::exists(dir / "s/out-2"));
  EXPECT_FALSE(fs::exists(dir / "s/new"));
}

}  // namespace
}  // namespace rigproof
