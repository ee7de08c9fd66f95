#include "report/certificate.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFEmbeddedFileDocumentHelper.hh>
#include <qpdf/QPDFPageDocumentHelper.hh>

#include "record/results_json.h"
#include "report/hostile_results.h"
#include "report/sample_results.h"
#include "report/test_options.h"

namespace rigproof {
namespace {

using testing::HasSubstr;

struct Opened {
  std::string bytes;  // QPDF reads from it as long as it lives
  QPDF pdf;
  explicit Opened(std::string document) : bytes(std::move(document)) {
    pdf.setSuppressWarnings(true);
    pdf.processMemoryFile("test", bytes.data(), bytes.size());
  }
  std::size_t pages() { return QPDFPageDocumentHelper(pdf).getAllPages().size(); }
};

ReportOptions sealed() {
  ReportOptions options = test_options();
  options.issuer.name = "Example Test House";
  options.seal =
      SealMark{"A. Authoriser",
               Date{std::chrono::year{2026}, std::chrono::month{3}, std::chrono::day{16}},
               std::string(64, 'a'),
               std::string(64, 'b')};
  return options;
}

TEST(Certificate, HasExactlyTwoPagesForEveryStateLanguageAndPaper) {
  for (const SampleCase which :
       {SampleCase::within, SampleCase::outside, SampleCase::undecided, SampleCase::invalid})
    for (const char* language : {"en", "de"})
      for (const Paper paper : {Paper::a4, Paper::letter}) {
        ReportOptions options = test_options(language);
        options.paper = paper;
        Opened opened(certificate_pdf(sample_results(which), options));
        EXPECT_EQ(opened.pages(), 2u) << language << static_cast<int>(which);
        auto box = QPDFPageDocumentHelper(opened.pdf).getAllPages()[0].getMediaBox();
        const double height = box.getArrayItem(3).getNumericValue();
        EXPECT_NEAR(height, paper == Paper::a4 ? 297 / 25.4 * 72 : 11 * 72, 0.01);
      }
}

TEST(Certificate, MorePositionsContinueOnMorePages) {
  EXPECT_EQ(Opened(certificate_pdf(sample_results(SampleCase::within, 40), test_options())).pages(),
            3u);
  EXPECT_GE(
      Opened(certificate_pdf(sample_results(SampleCase::within, 160), test_options())).pages(), 4u);
}

TEST(Certificate, CarriesResultsJsonByteForByteAsAssociatedData) {
  const Results results = sample_results();
  Opened opened(certificate_pdf(results, test_options()));
  QPDFEmbeddedFileDocumentHelper files(opened.pdf);
  const auto file = files.getEmbeddedFile("results.json");
  ASSERT_TRUE(file);
  auto stream = QPDFEFStreamObjectHelper(file->getEmbeddedFileStream());
  const auto data = file->getEmbeddedFileStream().getStreamData();
  EXPECT_EQ(std::string(reinterpret_cast<const char*>(data->getBuffer()), data->getSize()),
            results_json(results));
  EXPECT_EQ(stream.getSubtype(), "application/json");
  EXPECT_EQ(file->getObjectHandle().getKey("/AFRelationship").getName(), "/Data");
  EXPECT_EQ(opened.pdf.getRoot().getKey("/AF").getArrayNItems(), 1);
}

TEST(Certificate, SameInputSameBytes) {
  const Results results = sample_results(SampleCase::outside);
  EXPECT_EQ(certificate_pdf(results, sealed()), certificate_pdf(results, sealed()));
  EXPECT_NE(certificate_pdf(results, sealed()), certificate_pdf(results, test_options()));
}

TEST(Certificate, MetadataAndEmbeddedFonts) {
  Opened opened(certificate_pdf(sample_results(), sealed()));
  auto info = opened.pdf.getTrailer().getKey("/Info");
  EXPECT_THAT(info.getKey("/Title").getUTF8Value(), HasSubstr("Accuracy test certificate"));
  EXPECT_EQ(info.getKey("/Author").getUTF8Value(), "Example Test House");
  EXPECT_THAT(info.getKey("/CreationDate").getUTF8Value(), HasSubstr("20260316"));
  EXPECT_EQ(opened.pdf.getRoot().getKey("/Lang").getUTF8Value(), "en");
  int fonts = 0;
  for (auto object : opened.pdf.getAllObjects()) {
    if (!object.isDictionaryOfType("/FontDescriptor")) continue;
    ++fonts;
    EXPECT_TRUE(object.hasKey("/FontFile") || object.hasKey("/FontFile2") ||
                object.hasKey("/FontFile3"));
  }
  EXPECT_GE(fonts, 2);
}

TEST(Certificate, HoldsNoScriptAndNoAction) {
  for (const std::string& text : hostile_texts()) {
    Opened opened(certificate_pdf(hostile_results(text), sealed()));
    EXPECT_GE(opened.pages(), 2u);
    for (auto object : opened.pdf.getAllObjects()) {
      if (!object.isDictionary()) continue;
      for (const char* key : {"/JS", "/JavaScript", "/OpenAction", "/AA", "/Launch", "/URI"})
        EXPECT_FALSE(object.hasKey(key)) << key;
    }
  }
}

TEST(CertificateHtml, TitleFollowsTheState) {
  const auto title = [](SampleCase which) {
    return certificate_html(sample_results(which), sealed());
  };
  EXPECT_THAT(title(SampleCase::within), HasSubstr("<h1>Accuracy test certificate</h1>"));
  EXPECT_THAT(title(SampleCase::outside), HasSubstr("<h1>Test record – outside limits</h1>"));
  EXPECT_THAT(title(SampleCase::undecided), HasSubstr("<h1>Test record – too close to call</h1>"));
  EXPECT_THAT(title(SampleCase::invalid), HasSubstr("<h1>Draft – no verdict</h1>"));
}

TEST(CertificateHtml, IsADraftWithoutAnAuthoriserUntilSealed) {
  const std::string draft = certificate_html(sample_results(), test_options());
  EXPECT_THAT(draft, HasSubstr("class=\"watermark\">DRAFT"));
  EXPECT_THAT(draft, HasSubstr("nobody (draft)"));
  const std::string final = certificate_html(sample_results(), sealed());
  EXPECT_THAT(final, testing::Not(HasSubstr("DRAFT")));
  EXPECT_THAT(final, HasSubstr("A. Authoriser"));
}

TEST(CertificateHtml, SimulatedCannotBeSwitchedOff) {
  Results results = sample_results();
  results.simulated = true;
  EXPECT_THAT(certificate_html(results, sealed()), HasSubstr("class=\"watermark\">SIMULATED"));
}

}  // namespace
}  // namespace rigproof
