#include "report/html_report.h"

#include <ctime>
#include <regex>
#include <set>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "base/sha256.h"
#include "report/certificate.h"
#include "report/explain.h"
#include "report/handover.h"
#include "report/hostile_results.h"
#include "report/plain_text.h"
#include "report/sample_results.h"
#include "report/status_page.h"
#include "report/test_options.h"

namespace rigproof {
namespace {

using testing::HasSubstr;
using testing::Not;

std::vector<std::string> elements(const std::string& page,
                                  const std::string& open,
                                  const std::string& close) {
  std::vector<std::string> out;
  for (std::size_t at = page.find(open); at != std::string::npos; at = page.find(open, at)) {
    const std::size_t from = at + open.size(), to = page.find(close, from);
    out.push_back(page.substr(from, to - from));
    at = to;
  }
  return out;
}

// The page without its scripts, styles and data.
std::string markup(std::string page) {
  for (const char* name : {"script", "style"}) {
    const std::string open = std::string("<") + name, close = std::string("</") + name + ">";
    for (std::size_t at = page.find(open); at != std::string::npos; at = page.find(open, at))
      page.erase(at, page.find(close, at) + close.size() - at);
  }
  return page;
}

TEST(HtmlReport, NothingButItsOwnScriptsAndStylesMayRun) {
  const std::string page = html_report(sample_results(), test_options());
  EXPECT_THAT(page, HasSubstr("default-src 'none'"));
  EXPECT_THAT(page, Not(HasSubstr("unsafe-inline")));
  for (const auto& [open, close] : {std::pair{"<script>", "</script>"}, {"<style>", "</style>"}})
    for (const std::string& content : elements(page, open, close)) {
      std::string digest;
      const std::string hex = sha256_hex(content);
      for (std::size_t i = 0; i < hex.size(); i += 2)
        digest += static_cast<char>(std::stoi(hex.substr(i, 2), nullptr, 16));
      EXPECT_THAT(page, HasSubstr("'sha256-" + base64(digest) + "'"));
    }
  const std::string body = markup(page);
  EXPECT_THAT(body, Not(HasSubstr(" style=")));
  EXPECT_THAT(body, Not(HasSubstr("http://")));
  EXPECT_THAT(body, Not(HasSubstr("https://")));
  EXPECT_THAT(body, Not(HasSubstr("{{")));
}

// A procedure that asks "proven" for another probability says so wherever the rule is told.
TEST(HtmlReport, TheProbabilityOfTheRuleIsTheProcedures) {
  Results results = sample_results();
  const std::string usual = html_report(results, test_options());
  EXPECT_THAT(usual, HasSubstr("at least 95 %, outside when it is at most 5 %"));
  EXPECT_THAT(usual, Not(HasSubstr("asks for a probability")));
  results.session.procedure.proven_probability = 0.975;
  results.session.procedure.retest_repeats = 4;
  const std::string page = html_report(results, test_options());
  EXPECT_THAT(page, HasSubstr("at least 97.5 %, outside when it is at most 2.5 %"));
  EXPECT_THAT(page, HasSubstr("asks for a probability of 97.5 %; the 95 % of ISO 14253-1:2017"));
  EXPECT_THAT(page, HasSubstr("Repeats that the retest rule asks for: 4; usual are 3."));
  EXPECT_THAT(html_report(results, test_options("de")),
              HasSubstr("verlangt eine Wahrscheinlichkeit von 97,5 %; üblich sind die 95 % der"));

  const std::string explained = explanation_text(find_values(results, "SD worst").at(0));
  EXPECT_THAT(explained, HasSubstr("within where p >= 0.975, outside where p <= 0.025, else"));
  EXPECT_THAT(explained, HasSubstr("ISO 14253-1:2017 (97.5 %)"));
}

TEST(HtmlReport, EveryIdIsUniqueAndEveryLinkHasItsTarget) {
  for (const SampleCase which : {SampleCase::within, SampleCase::outside, SampleCase::invalid}) {
    const std::string body = markup(html_report(sample_results(which), test_options()));
    std::set<std::string> ids;
    for (const std::string& id : elements(body, " id=\"", "\""))
      EXPECT_TRUE(ids.insert(id).second) << id;
    for (const std::string& target : elements(body, "href=\"#", "\""))
      EXPECT_TRUE(ids.contains(target)) << target;
    for (const std::string& list : elements(body, "aria-labelledby=\"", "\"")) {
      const std::size_t space = list.find(' ');
      EXPECT_TRUE(ids.contains(list.substr(0, space)) && ids.contains(list.substr(space + 1)));
    }
  }
}

// A session of 23 scans: everything that assess writes beyond the evaluation within 2 s of one
// processor, the report within 6 MB.
TEST(HtmlReport, SameInputSameBytesWithinTimeAndSize) {
  const Results results = sample_results(SampleCase::outside);
  ASSERT_EQ(results.scans.size(), 23u);
  const std::clock_t start = std::clock();
  const std::string page = html_report(results, test_options());
  for (auto* other : {&certificate_pdf, &certificate_html, &handover_html})
    EXPECT_FALSE(other(results, test_options()).empty());
  const double took = static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC;
  EXPECT_EQ(page, html_report(results, test_options()));
  EXPECT_LT(page.size(), 6u << 20);
#if defined(NDEBUG) && !defined(__SANITIZE_ADDRESS__)
  EXPECT_LT(took, 2.0);
#endif
  RecordProperty("milliseconds", static_cast<int>(1000 * took));
  RecordProperty("bytes", static_cast<int>(page.size()));
}

TEST(HtmlReport, SaysVerdictNextStepAndOneSentence) {
  const std::string page = markup(html_report(sample_results(), test_options()));
  EXPECT_THAT(page, HasSubstr("<h1>WITHIN</h1>"));
  EXPECT_THAT(page, HasSubstr("Seal the session (rigproof seal) and hand it over."));
  EXPECT_THAT(page,
              HasSubstr("On 14 March 2026 this scanner measured known distances of 110 to "
                        "250\u00a0mm at 7 places in its"));
}

TEST(HtmlReport, SentenceNeverSoundsBetterThanTheVerdict) {
  const std::string page = markup(html_report(sample_results(SampleCase::outside), test_options()));
  const std::string sentence = elements(page, "class=\"sentence\">", "</p>").at(0);
  EXPECT_THAT(sentence, HasSubstr("probing error, form"));
  EXPECT_THAT(sentence, testing::ContainsRegex("0\\.0[3-9]"));
}

TEST(HtmlReport, GermanWithDecimalCommaAndInch) {
  ReportOptions options = test_options("de");
  options.inch = true;
  const std::string page = markup(html_report(sample_results(), options));
  EXPECT_THAT(page, HasSubstr("<h1>EINGEHALTEN</h1>"));
  EXPECT_THAT(page, HasSubstr("Messreihe versiegeln"));
  EXPECT_THAT(page, HasSubstr("µin"));
  EXPECT_THAT(page, Not(testing::ContainsRegex("[0-9]\\.[0-9]+ ?(mm|µm|in)<")));
}

TEST(HtmlReport, SimulatedSaysSoAtTheTop) {
  Results results = sample_results();
  results.simulated = true;
  EXPECT_THAT(markup(html_report(results, test_options())), HasSubstr("SIMULATED"));
}

TEST(HtmlReport, AnEmptySessionStillMakesAPage) {
  Results results;
  results.headline = "NOT A VALID TEST: nothing judged";
  results.session.rig_given = false;
  EXPECT_THAT(markup(html_report(results, test_options())), HasSubstr("<h1>NO VERDICT</h1>"));
}

// Everything that a browser would treat as markup in a page of hostile text must be ours: no
// element and no attribute beyond those of the same page with plain text.
TEST(HostileText, IsInertInEveryPage) {
  for (const std::string& text : hostile_texts()) {
    const Results results = hostile_results(text);
    ReportOptions options = test_options();
    options.issuer.name = options.order = options.issuer.place_of_test = text;
    options.issuer.address = {text};
    options.issuer.accreditation = text;
    options.seal = SealMark{text, {}, text, text};
    StatusView status{Verdict::outside,
                      true,
                      text,
                      text,
                      text,
                      text,
                      false,
                      1,
                      2,
                      text,
                      text,
                      text,
                      true,
                      {text},
                      12,
                      1000,
                      59,
                      0.007,
                      {{"sphere_spacing", 0.001, 0.01}}};
    for (const std::string& page : {html_report(results, options),
                                    certificate_html(results, options),
                                    handover_html(results, options),
                                    status_html(status, options)}) {
      const std::string body = markup(page);
      EXPECT_THAT(body, Not(HasSubstr("<img")));
      EXPECT_THAT(body, Not(HasSubstr("<!--")));
      EXPECT_THAT(body, Not(testing::ContainsRegex("<[a-z][^>]* on[a-z]+=")));
      EXPECT_THAT(body, Not(HasSubstr("alert(1)</")));
      EXPECT_THAT(body, Not(HasSubstr("\x1b")));
      EXPECT_THAT(body, Not(HasSubstr("\x07")));
      EXPECT_THAT(body, Not(HasSubstr("\u202E")));
      EXPECT_THAT(body, Not(HasSubstr("\u2066")));
      EXPECT_THAT(body, Not(HasSubstr("\xff")));
      EXPECT_THAT(body, Not(HasSubstr(std::string(4001, 'W'))));
      EXPECT_LT(page.size(), 6u << 20);
    }
  }
}

TEST(HostileText, SceneDataStaysOneElement) {
  const std::string page =
      html_report(hostile_results("</script><script>alert(1)</script>"), test_options());
  const auto data = elements(page, "<script type=\"application/json\" id=\"scene\">", "</script>");
  ASSERT_EQ(data.size(), 1u);
  EXPECT_EQ(data[0].find('<'), std::string::npos);
  EXPECT_EQ(data[0].back(), '}');
}

}  // namespace
}  // namespace rigproof
