#include "seal/manifest.h"

#include <fstream>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include "base/error.h"
#include "seal/bundle.h"
#include "seal/compare.h"
#include "seal/seal.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

class Folder : public testing::Test {
 protected:
  void SetUp() override {
    dir_ = fs::path(testing::TempDir()) / ("seal_folder_" + std::to_string(::getpid()));
    fs::remove_all(dir_);
    fs::create_directories(dir_ / "scans");
    std::ofstream(dir_ / "scans/a.xyz") << "abc";
    std::ofstream(dir_ / "session.toml") << "";
  }
  void TearDown() override { fs::remove_all(dir_); }
  fs::path dir_;
};

TEST_F(Folder, FilesAreListedByPathWithTheirDigests) {
  const auto files = describe(dir_, files_below(dir_));
  ASSERT_EQ(files.size(), 2u);
  EXPECT_EQ(files[0].path, "scans/a.xyz");
  EXPECT_EQ(files[0].bytes, 3u);
  // FIPS 180-4: SHA-256("abc") and of nothing.
  EXPECT_EQ(files[0].sha256, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  EXPECT_EQ(files[1].sha256, "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  EXPECT_EQ(sha256sum_text({files[0]}),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad  scans/a.xyz\n");
}

TEST_F(Folder, LinksPipesAndUnprintableNamesAreRefused) {
  fs::create_symlink("a.xyz", dir_ / "scans/link.xyz");
  EXPECT_THROW(files_below(dir_), Error);
  fs::remove(dir_ / "scans/link.xyz");
  fs::create_directory_symlink("/", dir_ / "photos");
  EXPECT_THROW(files_below(dir_), Error);
  fs::remove(dir_ / "photos");
  std::ofstream(dir_ / "a\nb") << "";
  EXPECT_THROW(files_below(dir_), Error);
  fs::remove(dir_ / "a\nb");
  EXPECT_EQ(files_below(dir_).size(), 2u);
}

TEST_F(Folder, ASealedOneIsRefusedAsATarget) {
  EXPECT_NO_THROW(refuse_sealed(dir_ / "out"));
  fs::create_directories(dir_ / "seal/agreed");
  std::ofstream(dir_ / "seal/agreed/manifest.json") << "{}";
  EXPECT_NO_THROW(refuse_sealed(dir_ / "out")) << "agreed limits leave room for scans and results";
  std::ofstream(dir_ / "seal/manifest.json") << "{}";
  EXPECT_THROW(refuse_sealed(dir_ / "out"), Error);
  EXPECT_THROW(refuse_sealed(dir_ / "x/y/../z"), Error);
  fs::create_directory_symlink(dir_, dir_.string() + "-link");
  EXPECT_THROW(refuse_sealed(dir_.string() + "-link/out"), Error);
  fs::remove(dir_.string() + "-link");
  EXPECT_NO_THROW(refuse_sealed(dir_.string() + "-other/out"));
}

TEST(ManifestText, ComesBackAsItWas) {
  Manifest m;
  m.stage = "session";
  m.authorised_by = "Ä. \"Name\"";
  m.sealed = "2026-03-14T12:00:00Z";
  m.files = {{"a b", 1, "00"}, {"scans/é.ply", 1ull << 40, "11"}};
  const Manifest back = parse_manifest(manifest_text(m));
  EXPECT_EQ(manifest_text(back), manifest_text(m));
  ASSERT_NE(back.find("scans/é.ply"), nullptr);
  EXPECT_EQ(back.find("scans/é.ply")->bytes, 1ull << 40);
  EXPECT_EQ(back.find("scans"), nullptr);
  for (const char* bad : {"", "{}", "[1]", "{\"schema\": \"other\"}"})
    EXPECT_THROW(parse_manifest(bad), Error) << bad;
}

// Whoever sealed a folder must not have this machine read or write elsewhere.
TEST(ManifestText, PathsThatLeadOutAreRefused) {
  Manifest sound;
  sound.sealed = "2026-03-14T12:00:00Z";
  EXPECT_NO_THROW(parse_manifest(manifest_text(sound)));
  for (const char* path : {"/etc/passwd", "../a", "scans/../../a", ""}) {
    Manifest m = sound;
    m.files = {{path, 1, "00"}};
    EXPECT_THROW(parse_manifest(manifest_text(m)), Error) << path;
    const std::string text = path;
    EXPECT_THROW(parse_bundle(R"({"schema": "rigproof-bundle-1", "cut_outs": [{"scan": ")" + text +
                              R"(", "whole": true, "sha256": "", "bytes": 1}], "sealed_as": {}})"),
                 Error)
        << path;
    EXPECT_THROW(parse_bundle(R"({"schema": "rigproof-bundle-1", "cut_outs": [], "sealed_as": {")" +
                              text + R"(": "out/results.json"}})"),
                 Error)
        << path;
  }
  Manifest results = sound;
  results.results = "../other/out/results.json";
  EXPECT_THROW(parse_manifest(manifest_text(results)), Error);
}

// Found by the fuzzer: a size that is no whole number of bytes, a day that there is not.
TEST(ManifestText, SizesAndDaysThatCannotBeAreRefused) {
  Manifest m;
  m.files = {{"a", 77, "00"}};
  for (const char* day : {"", "2026-03-1", "2026-02-30T12:00:00Z", "2026-03--6T12:00:00Z"}) {
    m.sealed = day;
    EXPECT_THROW(parse_manifest(manifest_text(m)), Error) << day;
  }
  m.sealed = "2026-03-14T12:00:00Z";
  const std::string good = manifest_text(m);
  const auto at = good.find("77");
  const auto bundle = [](const std::string& size) {
    return R"({"schema": "rigproof-bundle-1", "cut_outs": [{"scan": "a", "whole": true, "sha256": "",)"
           R"( "bytes": )" +
           size + R"(}], "sealed_as": {}})";
  };
  EXPECT_EQ(parse_bundle(bundle("77")).cut_outs.at(0).bytes, 77u);
  for (const char* size : {"1e308", "-1", "0.5", "18446744073709551616", "\"77\"", "null"}) {
    std::string bad = good;
    EXPECT_THROW(parse_manifest(bad.replace(at, 2, size)), Error) << size;
    EXPECT_THROW(parse_bundle(bundle(size)), Error) << size;
  }
}

// Every listed file is read: one that is listed a million times would be read a million times.
TEST(ManifestText, AFileThatIsListedTwiceIsRefused) {
  Manifest m;
  m.sealed = "2026-03-14T12:00:00Z";
  m.files = {{"a", 1, "00"}, {"b", 1, "00"}, {"c", 1, "00"}};
  EXPECT_NO_THROW(parse_manifest(manifest_text(m)));
  m.files.push_back({"a", 1, "00"});
  EXPECT_THROW(parse_manifest(manifest_text(m)), Error);
  m.files.back().sha256 = "11";
  EXPECT_THROW(parse_manifest(manifest_text(m)), Error);
  const auto bundle = [](const char* first, const char* second) {
    const auto cut = [](const std::string& scan) {
      return R"({"scan": ")" + scan + R"(", "whole": true, "sha256": "", "bytes": 1})";
    };
    return R"({"schema": "rigproof-bundle-1", "cut_outs": [)" + cut(first) + "," + cut(second) +
           R"(], "sealed_as": {}})";
  };
  EXPECT_EQ(parse_bundle(bundle("scans/a", "scans/b")).cut_outs.size(), 2u);
  EXPECT_THROW(parse_bundle(bundle("scans/a", "scans/a")), Error);
}

TEST(ManifestText, ABottomlessOneIsRefused) {
  const std::string deep(1u << 20, '[');
  EXPECT_THROW(parse_manifest("{\"schema\":" + deep), Error);
  EXPECT_THROW(parse_bundle("{\"schema\":" + deep), Error);
}

Results one_value(double value, Verdict verdict) {
  Results r;
  r.verdict = verdict;
  CharacteristicResult c;
  c.id = "sphere_spacing";
  JudgedValue v;
  v.value.scan = "scans/1.ply";
  v.value.pair = {"A", "B"};
  v.value.value = value;
  v.decision = Decision{0.03, 0, 0, verdict};
  c.values.push_back(v);
  r.characteristics.push_back(c);
  return r;
}

TEST(Compare, TellsWhatDiffersBeyondAMillionthOfAMillimetre) {
  const Results old = one_value(0.01, Verdict::within);
  EXPECT_TRUE(compare(old, one_value(0.01 + 0.9e-6, Verdict::within)).same());
  EXPECT_FALSE(compare(old, one_value(0.01 + 1.1e-6, Verdict::within)).same());
  EXPECT_FALSE(compare(old, one_value(0.01, Verdict::undecided)).same());
  EXPECT_FALSE(compare(old, one_value(std::nan(""), Verdict::within)).same());
  EXPECT_FALSE(compare(old, Results{}).same());
  Results limit = old;
  limit.characteristics[0].values[0].decision->limit = 0.04;
  EXPECT_FALSE(compare(old, limit).same());
  const Comparison gone = compare(old, Results{});
  ASSERT_EQ(gone.values.size(), 1u);
  EXPECT_FALSE(gone.values[0].after);
}

// Beside values: each of these is on the certificate, and nothing else of it changes with them.
TEST(Compare, NoticesWhatElseWasSealedOtherwise) {
  Results old = one_value(0.01, Verdict::within);
  old.characteristics[0].judged = true;
  old.scans.resize(2);
  old.scans[0].file = "scans/1.ply";
  old.scans[1].file = "scans/2.ply";
  old.findings = {{"is-mesh", Severity::warn, Scope::scan, "scans/1.ply", "words"}};
  const Comparison equal = compare(old, old);
  EXPECT_TRUE(equal.same() && equal.facts.empty() && equal.words.empty());
  const auto facts = [&](auto change, bool cut_outs = false) {
    Results other = old;
    change(other);
    return compare(other, old, cut_outs).facts.size();
  };
  const auto words = [&](auto change) {
    Results other = old;
    change(other);
    const Comparison c = compare(other, old);
    return c.facts.empty() && c.same() ? c.words.size() : 0;
  };
  for (const bool cut_outs : {false, true}) {
    EXPECT_EQ(facts([](Results& r) { r.simulated = true; }, cut_outs), 1u);
    EXPECT_EQ(facts([](Results& r) { r.characteristics[0].judged = false; }, cut_outs), 1u);
    EXPECT_EQ(facts([](Results& r) { r.characteristics[0].verdict = Verdict::outside; }, cut_outs),
              1u);
    EXPECT_EQ(facts([](Results& r) { r.characteristics.emplace_back(); }, cut_outs), 2u);
  }
  const auto of_scans = [&](auto change) {
    EXPECT_EQ(facts(change, true), 0u) << "cut-outs are other files";
    return facts(change);
  };
  EXPECT_EQ(of_scans([](Results& r) { r.scans[1].status = ScanStatus::withdrawn; }), 1u);
  EXPECT_EQ(of_scans([](Results& r) { r.scans[1].sha256 = "00"; }), 1u);
  EXPECT_EQ(of_scans([](Results& r) { r.scans.pop_back(); }), 1u);
  EXPECT_EQ(of_scans([](Results& r) { r.scans.push_back(r.scans[1]); }), 1u);
  EXPECT_EQ(of_scans([](Results& r) { r.calibration_sha256 = "00"; }), 1u);
  EXPECT_EQ(of_scans([](Results& r) { r.temperature.C += 0.01; }), 1u);
  EXPECT_EQ(of_scans([](Results& r) { r.temperature.u_C += 0.01; }), 1u);
  EXPECT_EQ(facts([](Results& r) { std::swap(r.scans[0], r.scans[1]); }), 0u) << "order is no fact";
  EXPECT_EQ(words([](Results& r) { r.headline = "fine"; }), 1u);
  EXPECT_EQ(words([](Results& r) { r.not_tested = {"all"}; }), 1u);
  EXPECT_EQ(words([](Results& r) { r.scans[0].reason = "fine"; }), 1u);
  EXPECT_EQ(words([](Results& r) { r.findings.clear(); }), 1u);
  EXPECT_EQ(words([](Results& r) { r.findings[0].severity = Severity::note; }), 1u);
}

// What stopped the whole session cannot be seen in cut-outs, and still stops it.
TEST(Compare, AStopOfTheSessionHoldsForItsCutOuts) {
  Results stopped = one_value(0.01, Verdict::invalid);
  stopped.findings = {{"duplicate", Severity::stop, Scope::session, "", "words"}};
  stopped.characteristics[0].verdict = Verdict::invalid;
  Results again = stopped;
  again.findings.clear();
  again.verdict = again.characteristics[0].verdict = Verdict::within;
  EXPECT_TRUE(compare(stopped, again, true).same());
  EXPECT_FALSE(compare(stopped, again).same());
}

}  // namespace
}  // namespace rigproof
