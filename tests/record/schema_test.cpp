// The published schema of results.json against the documents that the program writes, judged by a
// general validator of JSON Schema (python3-jsonschema of Debian).
#include <array>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <string>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>
#include <unistd.h>

#include "base/input_file.h"
#include "record/results_json.h"
#include "report/hostile_results.h"
#include "report/sample_results.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

const std::string kSchema = RIGPROOF_SOURCE_DIR "/reports/schema/results.schema.json";

// What the validator says against the documents, each line with the name of one; nothing if they
// keep to the schema.
std::string objections(const nlohmann::json& documents) {
  const fs::path file =
      fs::temp_directory_path() / ("record_schema_" + std::to_string(::getpid()) + ".json");
  std::ofstream(file) << documents;
  const std::string program =
      "import json, sys; from jsonschema import Draft202012Validator as V;"
      "s = json.load(open(sys.argv[1])); V.check_schema(s);"
      "[print(name, list(e.path), e.message[:200])"
      " for name, d in json.load(open(sys.argv[2])).items() for e in V(s).iter_errors(d)]";
  const std::string line =
      "/usr/bin/python3 -c '" + program + "' '" + kSchema + "' '" + file.string() + "' 2>&1";
  FILE* pipe = ::popen(line.c_str(), "r");
  if (!pipe) return "python3 does not start";
  std::string said;
  std::array<char, 4096> part;
  while (const std::size_t n = std::fread(part.data(), 1, part.size(), pipe))
    said.append(part.data(), n);
  if (::pclose(pipe) != 0) said += "python3 failed";
  fs::remove(file);
  return said;
}

TEST(ResultsSchema, AllThatIsWrittenKeepsToIt) {
  nlohmann::json documents;
  const auto add = [&](const std::string& name, const Results& r) {
    documents[name] = nlohmann::json::parse(results_json(r));
  };
  add("within", sample_results());
  add("outside", sample_results(SampleCase::outside));
  add("undecided", sample_results(SampleCase::undecided));
  add("invalid", sample_results(SampleCase::invalid));
  add("nothing at all", Results{});
  Results hostile = hostile_results("\xff\u2028</script>");
  hostile.selftest = "passed";
  for (ScanRecord& scan : hostile.scans) scan.sha256.clear();  // ours, not a file's
  add("hostile texts", hostile);
  EXPECT_EQ(objections(documents), "");
}

// A schema that allows anything would have passed the test above.
TEST(ResultsSchema, AllowsNoOtherNameAndNoOtherType) {
  const nlohmann::json good = nlohmann::json::parse(results_json(sample_results()));
  nlohmann::json documents;
  for (const auto& [key, value] : good.items()) {
    nlohmann::json bad = good;
    bad.erase(key);
    bad[key + "s"] = value;
    documents["renamed " + key] = bad;
  }
  for (const char* place : {"/verdict",
                            "/session/id",
                            "/scans/0/sha256",
                            "/scans/0/features/0/radius",
                            "/characteristics/0/values/0/value",
                            "/characteristics/0/values/0/budget/0/u"}) {
    const nlohmann::json::json_pointer at(place);
    ASSERT_TRUE(good.contains(at)) << place;
    nlohmann::json bad = good;
    bad[at] = nlohmann::json::array({true});
    documents[place] = bad;
  }
  const std::string said = objections(documents);
  for (const auto& [name, document] : documents.items())
    EXPECT_THAT(said, testing::HasSubstr(name + " [")) << said;
}

}  // namespace
}  // namespace rigproof
