// The words of a certificate, before they are laid out.
#include "report/certificate_content.h"

#include <ctime>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "report/sample_results.h"
#include "report/test_options.h"

namespace rigproof {
namespace {

using testing::HasSubstr;

ReportOptions options() {
  ReportOptions out = test_options();
  out.results_text = "{}";  // the document has no say in it
  return out;
}

ScanRecord scan_of(const std::string& file, ScanStatus status, const std::string& reason = {}) {
  ScanRecord scan;
  scan.file = file;
  scan.status = status;
  scan.reason = reason;
  return scan;
}

JudgedValue value_of(const CharacteristicResult& c, const std::string& scan, double mm) {
  JudgedValue value = c.values.front();
  value.value.scan = scan;
  value.value.value = mm;
  value.decision.reset();
  return value;
}

TEST(CertificateContent, PutsValuesAndReasonsBesideTheirScans) {
  Results r = sample_results();
  CharacteristicResult c = r.characteristics.front();
  c.judged = true;
  c.worst = 0;
  c.values = {value_of(c, "b", 0.004), value_of(c, "a", 0.001), value_of(c, "b", 0.002)};
  r.characteristics = {c};
  r.scans = {scan_of("a", ScanStatus::used),
             scan_of("b", ScanStatus::used),
             scan_of("none", ScanStatus::used),
             scan_of("c", ScanStatus::rejected, "is-mesh"),
             scan_of("d", ScanStatus::rejected, "is-mesh"),
             scan_of("e", ScanStatus::withdrawn, "a lamp was on")};
  r.findings = {{"is-mesh", Severity::stop, Scope::scan, "d", "of d · why · what"},
                {"is-mesh", Severity::stop, Scope::scan, "c", "of c · why · what"},
                {"is-mesh", Severity::stop, Scope::scan, "c", "of c again · why · what"}};
  const ReportOptions how = options();
  const CertificateContent content = certificate_content(ReportContext(r, how));
  ASSERT_EQ(content.positions.size(), 3u);
  EXPECT_THAT(content.positions[0].back(), testing::Not(HasSubstr("/")));
  EXPECT_THAT(content.positions[1].back(), testing::ContainsRegex("4.* / .*2"));
  EXPECT_EQ(content.positions[2].back(), "–");
  ASSERT_EQ(content.repeats.size(), 3u);
  EXPECT_TRUE(content.repeats[0].ends_with("of c")) << content.repeats[0];
  EXPECT_TRUE(content.repeats[1].ends_with("of d")) << content.repeats[1];
  EXPECT_TRUE(content.repeats[2].ends_with("a lamp was on")) << content.repeats[2];
}

TEST(CertificateContent, ManyScansAndFindingsTakeTheirTimeOnce) {
#ifdef RIGPROOF_SANITIZED
  GTEST_SKIP() << "asks for speed";
#endif
  Results r = sample_results();
  CharacteristicResult c = r.characteristics.front();
  const JudgedValue sample = c.values.front();
  c.values.clear();
  c.judged = true;
  c.worst = 0;
  r.scans.clear();
  r.findings.clear();
  for (int i = 0; i < 20'000; ++i) {
    const std::string start = "scans/all of the same long beginning of a name ";
    const std::string used = start + std::to_string(i), rejected = start + "r" + std::to_string(i);
    r.scans.push_back(scan_of(used, ScanStatus::used));
    r.scans.push_back(scan_of(rejected, ScanStatus::rejected, "is-mesh"));
    c.values.push_back(sample);
    c.values.back().value.scan = used;
    r.findings.push_back({"is-mesh", Severity::stop, Scope::scan, rejected, "a mesh · why · what"});
  }
  r.characteristics = {c, c, c, c, c};
  const ReportOptions how = options();
  const ReportContext context(r, how);
  const std::clock_t start = std::clock();
  const CertificateContent content = certificate_content(context);
  // Each with each would be two thousand million comparisons.
  EXPECT_LT(static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC, 10);
  EXPECT_EQ(content.positions.size(), 20'000u);
  EXPECT_EQ(content.repeats.size(), 20'000u);
}

}  // namespace
}  // namespace rigproof
