// results.json and pictures.bin read back: what was written comes out, to the byte; what does not
// belong together is refused.
#include "record/results_reader.h"

#include <bit>
#include <ctime>
#include <limits>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "base/error.h"
#include "record/pictures.h"
#include "record/results_json.h"
#include "record/tables.h"
#include "report/hostile_results.h"
#include "report/sample_results.h"

namespace rigproof {
namespace {

using testing::HasSubstr;

constexpr SampleCase kCases[] = {
    SampleCase::within, SampleCase::outside, SampleCase::undecided, SampleCase::invalid};

std::string why_refused(const std::string& text, const Session& session) {
  try {
    results_from_json(text, session);
  } catch (const Error& e) {
    EXPECT_EQ(e.kind(), ErrorKind::data);
    return e.what();
  }
  return "";
}

TEST(ResultsReader, GivesTheSameTextAgain) {
  for (const SampleCase which : kCases) {
    const Results written = sample_results(which);
    const std::string text = results_json(written);
    const Results read = results_from_json(text, written.session).results;
    EXPECT_EQ(results_json(read), text);
    EXPECT_EQ(values_csv(read), values_csv(written));
    EXPECT_EQ(positions_csv(read), positions_csv(written));
  }
}

// Numbers of every kind in every place, so that no field is forgotten or swapped for another.
// What lay beside the scans is part of the record, whatever lies there now.
TEST(ResultsReader, KeepsWhatWasNoScanAndWhatSaidThatItIsSimulated) {
  Results written = sample_results();
  written.session.skipped = {"old: a folder", "\x1b[2Jscan7.ply.part: unfinished"};
  written.scans[1].simulated = true;
  const std::string text = results_json(written);
  Session now = written.session;
  now.skipped.clear();
  const Results read = results_from_json(text, now).results;
  EXPECT_EQ(read.session.skipped, written.session.skipped);
  EXPECT_FALSE(read.scans[0].simulated);
  EXPECT_TRUE(read.scans[1].simulated);
  EXPECT_EQ(results_json(read), text);
}

TEST(ResultsReader, GivesEveryBitOfEveryNumberAgain) {
  Results r = sample_results(SampleCase::outside);
  double next = 0.1;
  const auto odd = [&] { return next = std::nextafter(next * (next < 1e9 ? 1.37 : 1e-10), 2.0); };
  for (CharacteristicResult& c : r.characteristics)
    for (JudgedValue& v : c.values) {
      for (double* number : {&v.value.measured,
                             &v.value.reference,
                             &v.value.value,
                             &v.value.u,
                             &v.value.U,
                             &v.value.k,
                             &v.value.u_fit,
                             &v.value.value_all_points,
                             &v.value.spacing_um})
        *number = odd();
      v.value.dof = odd();
      for (BudgetLine& line : v.value.budget) line.u = odd();
    }
  for (ScanRecord& s : r.scans) s.bytes = s.points = (1ull << 53) + s.points;
  const Results read = results_from_json(results_json(r), r.session).results;
  ASSERT_EQ(read.characteristics.size(), r.characteristics.size());
  for (std::size_t i = 0; i < r.characteristics.size(); ++i)
    for (std::size_t k = 0; k < r.characteristics[i].values.size(); ++k) {
      const TestValue& a = r.characteristics[i].values[k].value;
      const TestValue& b = read.characteristics[i].values[k].value;
      EXPECT_EQ(std::bit_cast<std::uint64_t>(a.value), std::bit_cast<std::uint64_t>(b.value));
      EXPECT_EQ(a.U, b.U);
      EXPECT_EQ(a.k, b.k);
      EXPECT_EQ(a.dof, b.dof);
      EXPECT_EQ(a.signed_value, b.signed_value);
      ASSERT_EQ(a.budget.size(), b.budget.size());
      for (std::size_t l = 0; l < a.budget.size(); ++l) EXPECT_EQ(a.budget[l].u, b.budget[l].u);
    }
  for (std::size_t i = 0; i < r.scans.size(); ++i) EXPECT_EQ(read.scans[i].bytes, r.scans[i].bytes);
}

TEST(ResultsReader, ManyValuesOfManyDistancesAreReadInTime) {
#ifdef RIGPROOF_SANITIZED
  GTEST_SKIP() << "asks for speed";
#endif
  constexpr int many = 20'000;
  Results r = sample_results();
  Artefact bar = r.session.artefacts.front();
  bar.kind = ArtefactKind::bar;
  bar.serial = "a serial number that artefacts share";
  bar.distances.clear();
  CharacteristicResult c = r.characteristics.front();
  c.values.clear();
  c.worst = 0;
  JudgedValue judged;
  judged.value.artefact = bar.serial;
  judged.value.scan = r.scans.front().file;
  for (int i = 0; i < many; ++i) {
    const std::string from = "ball of a long name " + std::to_string(i);
    bar.distances.push_back({from, "B", {100.0 + i, 0.001}});
    judged.value.pair = {from, "B"};
    c.values.push_back(judged);
  }
  r.session.artefacts = {r.session.artefacts.front(), bar};
  r.characteristics = {c};
  const std::string text = results_json(r);
  const std::clock_t start = std::clock();
  const Results read = results_from_json(text, r.session).results;
  EXPECT_LT(static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC, 10);
  ASSERT_EQ(read.characteristics[0].values.size(), std::size_t{many});
  for (int i = 0; i < many; ++i)
    ASSERT_EQ(read.characteristics[0].values[static_cast<std::size_t>(i)].value.nominal_length,
              100.0 + i);
}

// Where several artefacts of a serial number answer, the first does.
TEST(ResultsReader, TakesALengthFromTheFirstArtefactThatHasIt) {
  Results r = sample_results();
  Artefact first, second;
  first.serial = second.serial = "1";
  first.balls = {{"A", {10, 0.001}, 0}};
  second.balls = {{"A", {11, 0.001}, 0}, {"B", {12, 0.001}, 0}};
  second.distances = {{"A", "B", {100, 0.001}}, {"A", "B", {101, 0.001}}};
  Artefact plate = first;
  plate.kind = ArtefactKind::plate;
  plate.length_mm = 300;
  CharacteristicResult c = r.characteristics.front();
  c.values.assign(4, {});
  for (JudgedValue& v : c.values) {
    v.value.artefact = "1";
    v.value.scan = r.scans.front().file;
  }
  c.worst = 0;
  c.values[0].value.ball = "A";
  c.values[1].value.ball = "B";
  c.values[2].value.pair = {"A", "B"};
  c.values[3].value.ball = "none";
  r.characteristics = {c};
  const auto lengths = [&](const std::vector<Artefact>& artefacts) {
    r.session.artefacts = artefacts;
    const Results back = results_from_json(results_json(r), r.session).results;
    std::vector<double> out;
    for (const JudgedValue& v : back.characteristics[0].values)
      out.push_back(v.value.nominal_length);
    return out;
  };
  using testing::ElementsAre;
  EXPECT_THAT(lengths({first, second}), ElementsAre(10, 12, 100, 0));
  EXPECT_THAT(lengths({second, first}), ElementsAre(11, 12, 100, 0));
  EXPECT_THAT(lengths({plate, second}), ElementsAre(300, 300, 300, 300));
  EXPECT_THAT(lengths({second, plate}), ElementsAre(11, 12, 100, 300));
}

// What values are computed again from: kept to the bit, and absent in a document of before it was
// stored, which reads as it did.
TEST(ResultsReader, KeepsTheEvidenceAndReadsDocumentsWithoutIt) {
  Results r = sample_results();
  ASSERT_FALSE(r.scans[0].features.empty());
  const std::string before = results_json(r);
  for (const char* key : {"\"enclosures\"", "\"patches\"", "\"rectangle\""})
    EXPECT_EQ(before.find(key), std::string::npos) << key;
  EXPECT_TRUE(results_from_json(before, r.session).results.scans[0].features[0].enclosures.empty());

  FeatureRecord& f = r.scans[0].features[0];
  Enclosure e;
  e.name = "free_shell";
  e.sphere = f.sphere;
  e.center = {1.1, 2.2, 600.3};
  if (!f.sphere) e.normal = {0.6, 0, 0.8};
  e.low = 14.987654321;
  e.high = 15.012345678;
  e.width = 0.024691357;
  e.points = 20011;
  e.held = 19011;
  e.below = 498;
  e.low_points = {{1, 2, 585.1}, {0.1, 0.2, 586}};
  e.high_points = {{3, 2, 585.3}, {0.3, 0.2, 586}, {-7, 5, 588}};
  f.enclosures = {e};
  f.patches = {{{1.5, 2.5, 585.5}, 800}, {{1.6, 2.6, 585.6}, 801}};
  f.fit_patches = FitRecord{{1, 2, 600}, Vec3::Zero(), 15.1, 0.001, -0.002, 0.003, 2, 0};
  FeatureRecord plate;
  plate.sphere = false;
  plate.middle = {10, 20, 600};
  plate.axis_u = {0.8, 0, -0.6};
  plate.axis_v = {0, 1, 0};
  plate.enclosures = {e};
  plate.enclosures[0].name = "minimum_zone";
  plate.enclosures[0].sphere = false;
  plate.enclosures[0].normal = {0.6, 0, 0.8};
  const FeatureRecord kept = f;
  r.scans[0].features.push_back(plate);
  const std::string text = results_json(r);
  const Results read = results_from_json(text, r.session).results;
  EXPECT_EQ(results_json(read), text);
  const FeatureRecord& g = read.scans[0].features[0];
  ASSERT_EQ(g.enclosures.size(), 1u);
  EXPECT_EQ(g.enclosures[0].high_points, e.high_points);
  EXPECT_EQ(g.enclosures[0].below, 498u);
  EXPECT_EQ(g.enclosures[0].sphere, kept.sphere);
  ASSERT_EQ(g.patches.size(), 2u);
  EXPECT_EQ(g.patches[1].point, kept.patches[1].point);
  EXPECT_EQ(g.fit_patches->max, 0.003);
  const FeatureRecord& p = read.scans[0].features.back();
  EXPECT_EQ(p.axis_u, plate.axis_u);
  EXPECT_EQ(p.middle, plate.middle);
  EXPECT_FALSE(p.enclosures[0].sphere);
}

TEST(ResultsReader, TakesTheNominalLengthFromTheArtefact) {
  const Results written = sample_results();
  const Results read = results_from_json(results_json(written), written.session).results;
  for (const auto& v : read.characteristics[0].values)
    EXPECT_NEAR(v.value.nominal_length, v.value.artefact == "bar-250-07" ? 250 : 110, 0.1);
}

TEST(ResultsReader, NullStandsForWhatIsNoNumber) {
  Results r = sample_results();
  r.scans[0].features[0].rms = std::numeric_limits<double>::quiet_NaN();
  const std::string text = results_json(r);
  EXPECT_EQ(results_json(results_from_json(text, r.session).results), text);
}

TEST(ResultsReader, HostileTextComesBackAsItWasWritten) {
  for (const std::string& hostile : hostile_texts()) {
    const Results r = hostile_results(hostile);
    const std::string text = results_json(r);
    EXPECT_EQ(results_json(results_from_json(text, r.session).results), text);
  }
}

TEST(ResultsReader, RefusesResultsOfAnotherSession) {
  const Results r = sample_results();
  Session other = r.session;
  other.id = "another";
  EXPECT_THAT(why_refused(results_json(r), other), HasSubstr("\"session\""));
  other = r.session;
  other.artefacts[0].certificate = "K-0000";
  EXPECT_THAT(why_refused(results_json(r), other), HasSubstr("\"artefacts\""));
}

TEST(ResultsReader, NamesWhatIsMissingOrOfAnotherKind) {
  const Results r = sample_results();
  const auto whole = nlohmann::ordered_json::parse(results_json(r));
  for (const auto& [key, content] : whole.items()) {
    auto cut = whole;
    cut.erase(key);
    EXPECT_THAT(why_refused(cut.dump(), r.session), HasSubstr(key));
    cut[key] = {{"x", 1}};
    EXPECT_NE(why_refused(cut.dump(), r.session), "") << key;
  }
  EXPECT_NE(why_refused("", r.session), "");
  EXPECT_NE(why_refused("[]", r.session), "");
  EXPECT_NE(why_refused(results_json(r).substr(0, 5000), r.session), "");
}

// The parser's own conversion of such a number is undefined, or another number.
TEST(ResultsReader, CountsThatCannotBeAreRefused) {
  const Results r = sample_results();
  const auto whole = nlohmann::ordered_json::parse(results_json(r));
  ASSERT_EQ(why_refused(whole.dump(), r.session), "");
  for (const nlohmann::ordered_json& count :
       {nlohmann::ordered_json(1e308), nlohmann::ordered_json(-1), nlohmann::ordered_json(0.5)}) {
    auto bad = whole;
    bad["scans"][0]["points"] = count;
    EXPECT_THAT(why_refused(bad.dump(), r.session), HasSubstr("\"points\"")) << count;
  }
}

// Sums and differences of such numbers are none, and nothing can be drawn from them.
TEST(ResultsReader, NumbersBeyondAllMeasuringAreRefused) {
  Results r = sample_results();
  r.scans[0].features[0].form_mz = 0.01;
  const auto whole = nlohmann::ordered_json::parse(results_json(r));
  ASSERT_EQ(why_refused(whole.dump(), r.session), "");
  for (const double beyond : {1e308, -1.7e308, 2e30})
    for (const char* place : {"/p_all_within",
                              "/characteristics/0/values/0/value",
                              "/characteristics/0/values/0/dof",
                              "/characteristics/0/values/0/limit",
                              "/characteristics/0/values/0/center/2",
                              "/characteristics/0/values/0/budget/0/u",
                              "/scans/0/features/0/radius",
                              "/scans/0/features/0/form_mz",
                              "/zones/0/worst_ratio",
                              "/diagnosis/detection_limits/0/value"}) {
      auto bad = whole;
      bad[nlohmann::ordered_json::json_pointer(place)] = beyond;
      EXPECT_THAT(why_refused(bad.dump(), r.session), HasSubstr("beyond")) << place;
    }
}

// Others open, hash and copy what these paths name, below the session folder.
TEST(ResultsReader, PathsThatLeadOutOfTheSessionAreRefused) {
  for (const char* path : {"/etc/passwd", "../other/scans/a.ply", "scans/../../a.ply", ""}) {
    Results r = sample_results();
    r.scans[0].file = path;
    EXPECT_THAT(why_refused(results_json(r), r.session), HasSubstr("outside")) << path;
    r = sample_results();
    r.inputs[0].path = path;
    EXPECT_THAT(why_refused(results_json(r), r.session), HasSubstr("outside")) << path;
  }
}

TEST(ResultsReader, ABottomlessDocumentIsRefused) {
  const Results r = sample_results();
  const std::string deep = std::string(1u << 20, '[');
  EXPECT_THAT(why_refused(deep, r.session), HasSubstr("too deep"));
  EXPECT_THAT(why_refused("{\"schema\":" + deep, r.session), HasSubstr("too deep"));
}

Results with_pictures() {
  Results r = sample_results();
  r.scans[1].features[0].picture.clear();
  return r;
}

TEST(Pictures, ComeBackToTheBit) {
  const Results written = with_pictures();
  const std::string file = pictures_file(written, "abc");
  Results read = results_from_json(results_json(written), written.session).results;
  read_pictures(file, "abc", read);
  for (std::size_t i = 0; i < written.scans.size(); ++i)
    for (std::size_t k = 0; k < written.scans[i].features.size(); ++k)
      EXPECT_EQ(read.scans[i].features[k].picture, written.scans[i].features[k].picture);
  EXPECT_EQ(pictures_file(read, "abc"), file);
}

TEST(Pictures, OfOtherResultsOrCutShortAreRefusedAndChangeNothing) {
  const Results written = with_pictures();
  const std::string file = pictures_file(written, "abc");
  Results read = results_from_json(results_json(written), written.session).results;
  const auto refused = [&](const std::string& bytes, const char* hash) {
    EXPECT_THROW(read_pictures(bytes, hash, read), Error);
    for (const auto& scan : read.scans)
      for (const auto& f : scan.features) EXPECT_TRUE(f.picture.empty());
  };
  refused(file, "abd");
  refused(file + "x", "abc");
  refused("", "abc");
  for (std::size_t cut = 1; cut < file.size(); cut += file.size() / 37)
    refused(file.substr(0, file.size() - cut), "abc");
  std::string boastful = file;
  boastful.replace(file.find('\n') + 1, 4, "\xff\xff\xff\xff");
  refused(boastful, "abc");
}

}  // namespace
}  // namespace rigproof
