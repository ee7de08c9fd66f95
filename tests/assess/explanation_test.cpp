// Names of values: short words that fit one value only, case and order of no matter.
#include "assess/explanation.h"

#include <gtest/gtest.h>

namespace rigproof {
namespace {

TestValue value(const std::string& id, const std::string& scan, const std::string& place) {
  TestValue v;
  v.id = id;
  v.scan = scan;
  v.place = place;
  v.zone = "mid-middle-centre";
  v.artefact = "250-07";
  v.u = 0.002;
  v.budget = {{"a", 0.001, {}, "", 1, LineShape::normal},
              {"zone choice", std::sqrt(3.0) / 1000, 8.0, "", 1, LineShape::normal}};
  return v;
}

Results results() {
  Results r;
  Artefact bar;
  bar.serial = "250-07";
  r.session.artefacts = {bar};
  CharacteristicResult sd;
  sd.id = "sphere_spacing";
  sd.symbol = "SD";
  for (const auto& [scan, place] :
       {std::pair{"scans/scan003.ply", "P03, far-top-left"}, {"scans/scan004.ply.gz", "P04, x"}}) {
    ScanRecord record;
    record.file = scan;
    for (const char* ball : {"B", "A"}) {
      FeatureRecord f;
      f.artefact = "250-07";
      f.ball = ball;
      record.features.push_back(f);
    }
    r.scans.push_back(record);
    TestValue v = value("sphere_spacing", scan, place);
    v.pair = {"A", "B"};
    sd.values.push_back({v, std::nullopt});
  }
  sd.worst = 1;
  CharacteristicResult pf;
  pf.id = "probing_form";
  pf.symbol = "PF";
  for (const char* ball : {"A", "B"}) {
    TestValue v = value("probing_form", "scans/scan003.ply", "P03, far-top-left");
    v.ball = ball;
    pf.values.push_back({v, std::nullopt});
  }
  r.characteristics = {sd, pf};
  return r;
}

TEST(FindValues, ShortWordsThatFitOneValue) {
  const Results r = results();
  for (const char* words : {"SD worst",
                            "sphere_spacing@scan004",
                            "sd P04",
                            "SCAN004 a-b",
                            "scans/scan004.ply.gz sd",
                            "sphere_spacing@scan004 A-B"}) {
    const auto found = find_values(r, words);
    ASSERT_EQ(found.size(), 1u) << words;
    EXPECT_EQ(found[0].value().scan, "scans/scan004.ply.gz") << words;
  }
  EXPECT_EQ(find_values(r, "PF B").size(), 1u);
  EXPECT_EQ(find_values(r, "SD").size(), 2u);
  EXPECT_EQ(find_values(r, "scan003").size(), 3u);
  EXPECT_EQ(find_values(r, "").size(), 4u);
  EXPECT_TRUE(find_values(r, "SD scan005").empty());
}

TEST(FindValues, EveryFullNameIsUnique) {
  const Results r = results();
  for (const Explanation& e : find_values(r, ""))
    EXPECT_EQ(find_values(r, value_name(e.value())).size(), 1u) << value_name(e.value());
}

TEST(FindValues, BringWhatTheValueCameFrom) {
  const Results r = results();
  const Explanation e = find_values(r, "SD P03").front();
  ASSERT_EQ(e.features.size(), 2u);
  EXPECT_EQ(e.features[0]->ball, "A") << "in the order of the pair";
  EXPECT_EQ(e.scan->file, "scans/scan003.ply");
  EXPECT_EQ(e.artefact->serial, "250-07");
  EXPECT_EQ(find_values(r, "PF A").front().features.size(), 1u);
  // u⁴/(u₂⁴/8) with u² = 4 and u₂² = 3.
  EXPECT_NEAR(*e.dof, 16.0 * 8 / 9, 1e-9);
}

}  // namespace
}  // namespace rigproof
