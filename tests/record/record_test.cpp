#include <filesystem>
#include <limits>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>
#include <unistd.h>

#include "base/error.h"
#include "base/input_file.h"
#include "record/output_folder.h"
#include "record/results_json.h"
#include "record/tables.h"
#include "report/hostile_results.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

Results sample() {
  Results r;
  r.verdict = Verdict::within;
  r.headline = "WITHIN LIMITS: spacing";
  r.session.id = "s1";
  CharacteristicResult c;
  c.id = "sphere_spacing";
  c.symbol = "SD";
  c.judged = true;
  c.verdict = Verdict::within;
  c.worst = 0;
  TestValue v;
  v.id = c.id;
  v.scan = "scans/=cmd|' /C calc'!A0.ply";
  v.pair = {"A", "B"};
  v.measured = 300.0212;
  v.reference = 300.01;
  v.value = v.measured - v.reference;
  v.budget = {{"artefact calibration", 0.0006, std::nullopt, "", 1}};
  v.alternatives = {{"fixed_radius", 0.1 + 0.2}};
  c.values.push_back({v, Decision{0.03, 0.37, 0.9999, Verdict::within}});
  r.characteristics.push_back(c);
  ScanRecord s;
  s.file = v.scan;
  s.reason = "one, \"two\"\nthree";
  s.features.emplace_back();
  s.features[0].radius = std::numeric_limits<double>::quiet_NaN();
  s.features[0].cov = Eigen::Matrix4d::Identity();
  r.scans.push_back(s);
  return r;
}

std::vector<std::string> cells(const std::string& table) {
  std::vector<std::string> out(1);
  bool quoted = false;
  for (std::size_t i = 0; i < table.size(); ++i) {
    const char c = table[i];
    if (c == '"' && quoted && i + 1 < table.size() && table[i + 1] == '"') {
      out.back() += c;
      ++i;
    } else if (c == '"') {
      quoted = !quoted;
    } else if (!quoted && (c == ',' || c == '\n')) {
      if (c == '\n') out.back().pop_back();
      out.emplace_back();
    } else {
      out.back() += c;
    }
  }
  return out;
}

TEST(ResultsJson, NumbersRoundTripExactlyAndNanBecomesNull) {
  const auto j = nlohmann::json::parse(results_json(sample()));
  EXPECT_EQ(j["schema"], "rigproof-results-1");
  const auto& value = j["characteristics"][0]["values"][0];
  EXPECT_EQ(value["value"].get<double>(), 300.0212 - 300.01);
  EXPECT_EQ(value["alternatives"]["fixed_radius"].get<double>(), 0.1 + 0.2);
  EXPECT_TRUE(value["budget"][0]["dof"].is_null());
  EXPECT_TRUE(j["scans"][0]["features"][0]["radius"].is_null());
  EXPECT_EQ(j["scans"][0]["features"][0]["cov"].size(), 4u);
  EXPECT_FALSE(j.contains("timings"));
  EXPECT_TRUE(nlohmann::json::parse(results_json(sample(), true)).contains("timings"));
}

TEST(ResultsJson, InvalidUtf8IsReplacedNotRefused) {
  Results r = sample();
  r.session.customer = "a\xff";
  EXPECT_NO_THROW(nlohmann::json::parse(results_json(r)));
}

TEST(ResultsJson, LookHoldsOneScanWithItsFindings) {
  const auto j = nlohmann::json::parse(look_json(sample().scans[0], {Finding{}}));
  EXPECT_TRUE(j.contains("sha256"));
  EXPECT_EQ(j["findings"].size(), 1u);
}

TEST(Tables, FormulasAreInertAndQuotesDoubled) {
  Results r = sample();
  r.scans[0].file = "=1+1";
  const std::string csv = positions_csv(r);
  EXPECT_THAT(csv, testing::HasSubstr("\r\n'=1+1,"));
  EXPECT_THAT(csv, testing::HasSubstr("\"one, \"\"two\"\"\\x0athree\""));
  EXPECT_THAT(values_csv(r), testing::HasSubstr("300.0212,300.01,"));
}

// Every cell of every row, read back after RFC 4180; numbers alone may begin with a sign.
TEST(Tables, NoCellOfHostileTextBeginsAFormula) {
  std::vector<std::string> texts = hostile_texts();
  for (const char* start : {"=1+1",
                            "+1+1",
                            "-1+1",
                            "@A1",
                            "  =1",
                            "\t=1",
                            "a;=1+1",
                            "a,=1+1",
                            "\"=1",
                            "\uFF1D1",
                            "a\r\n=1"})
    texts.push_back(start);
  for (const std::string& text : texts) {
    const Results r = hostile_results(text);
    for (const std::string& table : {values_csv(r), positions_csv(r)})
      for (const std::string& cell : cells(table)) {
        const auto first = cell.find_first_not_of(' ');
        if (first == std::string::npos) continue;
        char* end = nullptr;
        std::strtod(cell.c_str(), &end);
        if (end == cell.c_str() + cell.size()) continue;
        EXPECT_EQ(std::string("=+-@\t\r\n").find(cell[first]), std::string::npos) << cell;
        EXPECT_EQ(cell.find(";="), std::string::npos) << cell;
        EXPECT_FALSE(cell.starts_with("\uFF1D")) << cell;
        for (const unsigned char c : cell) EXPECT_TRUE(c >= 0x20 && c != 0x7F) << cell;
      }
  }
}

TEST(OutputFolder, AppearsWholeAndNeverReplaces) {
  const fs::path dir = fs::path(testing::TempDir()) / "record_out";
  fs::remove_all(dir);
  for (const char* expected : {"out", "out-2", "out-3"}) {
    OutputFolder folder(dir / "out");
    folder.write("results.json", expected);
    EXPECT_FALSE(fs::exists(dir / expected));
    EXPECT_EQ(folder.publish(), dir / expected);
    EXPECT_EQ(read_text(dir / expected / "results.json"), expected);
  }
  {
    OutputFolder abandoned(dir / "out");
  }
  EXPECT_EQ(std::distance(fs::directory_iterator(dir), {}), 3);
}

TEST(OutputFolder, SweepsWhatADeadProcessLeft) {
  const fs::path dir = fs::path(testing::TempDir()) / "record_sweep";
  fs::remove_all(dir);
  // Process ids end at 2^22 on Linux: no process can have this one.
  fs::create_directories(dir / ".rigproof-unfinished-99999999-abc");
  OutputFolder living(dir / "out");
  EXPECT_EQ(sweep_unfinished(dir), 1);
  EXPECT_EQ(std::distance(fs::directory_iterator(dir), {}), 1);
}

// On a shared disk: whether the process lives can be asked on its own host only.
TEST(OutputFolder, SweepsNothingOfAnotherHost) {
  const fs::path dir = fs::path(testing::TempDir()) / "record_hosts";
  fs::remove_all(dir);
  std::string own;
  {
    const OutputFolder folder(dir / "out");
    own = folder.path().filename().string();
  }
  const std::string pid = std::to_string(::getpid());
  const std::size_t at = own.rfind("-" + pid + "-");
  ASSERT_NE(at, std::string::npos) << own;
  const std::string host = own.substr(0, at), gone = "-99999999-abcdef";
  const std::string elsewhere = host + "2";
  for (const std::string& name : {host + gone, elsewhere + gone, elsewhere + "-" + pid + "-abcdef"})
    fs::create_directories(dir / name);
  EXPECT_EQ(sweep_unfinished(dir), 1);
  EXPECT_FALSE(fs::exists(dir / (host + gone)));
  EXPECT_TRUE(fs::exists(dir / (elsewhere + gone)));
}

}  // namespace
}  // namespace rigproof
