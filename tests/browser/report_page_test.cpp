// The documents as a browser shows them: silent, offline, readable, joined, printable.
#include <algorithm>
#include <array>
#include <memory>
#include <set>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "base/atomic_file.h"
#include "browser/browser.h"
#include "report/certificate.h"
#include "report/handover.h"
#include "report/hostile_results.h"
#include "report/html_report.h"
#include "report/raster.h"
#include "report/sample_results.h"
#include "report/status_page.h"
#include "report/test_options.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;
using testing::ElementsAre;
using testing::IsEmpty;

class ReportPage : public testing::Test {
 protected:
  void SetUp() override {
    if (!Browser::installed()) GTEST_SKIP() << "needs Debian's package chromium";
    folder_ = fs::path(testing::TempDir()) / ("pages_" + std::to_string(::getpid()));
    fs::create_directories(folder_);
    browser_ = std::make_unique<Browser>();
  }
  void TearDown() override { fs::remove_all(folder_); }

  void open(const std::string& page, const Browser::Window& window = {}) {
    write_atomically(folder_ / "page.html", page);
    browser_->open(folder_ / "page.html", window);
  }
  void expect_silence() {
    EXPECT_THAT(browser_->problems, IsEmpty());
    EXPECT_THAT(browser_->requests, IsEmpty());
  }
  nlohmann::json value(const std::string& expression) { return browser_->value(expression); }
  /// Middle of the first visible element of a selector, in window coordinates.
  std::pair<double, double> middle(const std::string& selector) {
    const auto at =
        value("(() => { const e = document.querySelector(" + nlohmann::json(selector).dump() +
              "); e.scrollIntoView({block: 'center'});"
              "const b = e.getBoundingClientRect();"
              "return [b.left + b.width / 2, b.top + b.height / 2]; })()");
    return {at[0], at[1]};
  }
  nlohmann::json marked(const std::string& kind) {
    return value("[...new Set([...document.querySelectorAll('" + kind +
                 ".on')].map(e => e.getAttribute('data-key')))]");
  }

  fs::path folder_;
  std::unique_ptr<Browser> browser_;
};

std::vector<std::string> pages_of(const Results& results, const ReportOptions& options) {
  return {html_report(results, options),
          certificate_html(results, options),
          handover_html(results, options)};
}

// What sticks out to the right of the window and is in no box that scrolls by itself.
constexpr char kSticksOut[] = R"((() => {
  const wide = document.documentElement.clientWidth;
  const out = [];
  if (document.documentElement.scrollWidth > wide) out.push('page ' + document.documentElement.scrollWidth);
  for (const e of document.querySelectorAll('body *')) {
    if (e.closest('.scroll, nav, .stage, .watermark, .skip')) continue;
    const box = e.getBoundingClientRect();
    if (box.width && box.right > wide + 1) out.push(e.tagName + '.' + e.getAttribute('class'));
  }
  return out; })())";

TEST_F(ReportPage, IsSilentOfflineAndFitsNarrowAndWideWindows) {
  const Results results = sample_results(SampleCase::outside);
  for (const char* language : {"en", "de"})
    for (const std::string& page : pages_of(results, test_options(language)))
      for (const Browser::Window& window :
           {Browser::Window{360, 740, false}, Browser::Window{1920, 1080, true}}) {
        open(page, window);
        expect_silence();
        EXPECT_THAT(value(kSticksOut), IsEmpty()) << window.width;
      }
}

// The worst for a browser; tests/report tries every hostile text without one.
TEST_F(ReportPage, HostileTextStaysTextAndFitsTheWindow) {
  const std::vector<std::string> texts = hostile_texts();
  for (const std::string& text : {texts[0], texts[1], texts[2], texts.back()})
    for (const std::string& page : pages_of(hostile_results(text), test_options())) {
      open(page, {360, 740, false});
      expect_silence();
      EXPECT_THAT(value(kSticksOut), IsEmpty()) << text.substr(0, 40);
      EXPECT_EQ(value("document.querySelectorAll('img').length"), 0);
    }
}

TEST_F(ReportPage, ShowsItsVolumeAndFallsBackToStillViewsWithoutIt) {
  const std::string page = html_report(sample_results(), test_options());
  open(page);
  EXPECT_EQ(value("document.querySelectorAll('#stage canvas').length"), 1);
  EXPECT_GT(value("document.querySelectorAll('#stage .tag').length"), 10);
  // The drawing is more than its background: many shades within the stage.
  middle("#stage");
  const auto seen = decode(browser_->screenshot(), 4000);
  ASSERT_TRUE(seen);
  const auto box = value(
      "(() => { const b = document.getElementById('stage')"
      ".getBoundingClientRect(); return [b.left, b.top, b.right, b.bottom]; })()");
  std::set<std::array<int, 3>> shades;
  for (int y = std::max(0, box[1].get<int>()); y < std::min(seen->height, box[3].get<int>()); ++y)
    for (int x = box[0].get<int>(); x < box[2].get<int>(); ++x) {
      const auto* p = &seen->rgb[3 * (static_cast<std::size_t>(y) * seen->width + x)];
      shades.insert({p[0], p[1], p[2]});
    }
  EXPECT_GT(shades.size(), 200u);
  EXPECT_EQ(value("document.querySelectorAll('.views svg').length"), 3);
}

TEST_F(ReportPage, PointingAtARowMarksItsPositionEverywhere) {
  open(html_report(sample_results(), test_options()));
  const auto [x, y] = middle("#c-sphere_spacing tbody tr[data-key=P14] td:last-child");
  browser_->move(x, y);
  EXPECT_THAT(marked("tr"), ElementsAre("P14"));
  EXPECT_THAT(marked("g"), ElementsAre("P14"));
  EXPECT_THAT(marked("article"), ElementsAre("P14"));
  EXPECT_EQ(value("document.querySelector('.tag.on').textContent"), "P14");
  EXPECT_THAT(value("document.getElementById('readout').textContent").get<std::string>(),
              testing::HasSubstr("P14"));
}

TEST_F(ReportPage, AClickInTheVolumeLeadsToTheRowAndEscapeForgets) {
  open(html_report(sample_results(), test_options()));
  // Where the volume shows a ball: found by pointing, as a person finds it.
  const auto box = value(
      "(() => { const e = document.getElementById('stage');"
      "e.scrollIntoView({block: 'center'}); const b = e.getBoundingClientRect();"
      "return [b.left, b.top, b.width, b.height]; })()");
  std::string found;
  for (int i = 1; i < 40 && found.empty(); ++i)
    for (int k = 1; k < 20 && found.empty(); ++k) {
      const double x = box[0].get<double>() + box[2].get<double>() * i / 40;
      const double y = box[1].get<double>() + box[3].get<double>() * k / 20;
      browser_->move(x, y);
      const auto keys = marked("tr");
      if (keys.empty()) continue;
      found = keys[0];
      browser_->click(x, y);
    }
  ASSERT_FALSE(found.empty()) << "no position in the volume answers";
  const std::string row = "document.activeElement.closest('tr').getAttribute('data-key')";
  EXPECT_EQ(value(row), found);
  EXPECT_THAT(marked("tr"), ElementsAre(found));
  const auto top = value("document.activeElement.getBoundingClientRect().top");
  EXPECT_GT(top, 0);
  EXPECT_LT(top, 900);
  browser_->press("Escape");
  EXPECT_THAT(marked("tr"), IsEmpty());
}

TEST_F(ReportPage, IsUsableWithTheKeyboardAlone) {
  open(html_report(sample_results(), test_options()));
  browser_->press("Tab");
  EXPECT_EQ(value("document.activeElement.className"), "skip");
  EXPECT_GE(value("document.activeElement.getBoundingClientRect().left"), 0);
  std::string before = "none";
  bool stage = false, toggled = false, row = false;
  for (int i = 0; i < 60 && !row; ++i) {
    browser_->press("Tab");
    const std::string now = value(
        "(() => { const e = document.activeElement; const o = getComputedStyle(e).outlineStyle;"
        "return (o === 'none' ? 'invisible ' : '') + (e.id || e.dataset.toggle || "
        "e.closest('tr')?.dataset.key || e.tagName + e.textContent); })()");
    EXPECT_EQ(now.find("invisible"), std::string::npos) << now;
    EXPECT_NE(now, before) << "the focus is caught";
    before = now;
    if (now == "stage") {
      stage = true;
      browser_->press("3");
      browser_->press("ArrowLeft");
    }
    if (now == "labels") {
      browser_->press("Enter");
      toggled = value("document.activeElement.getAttribute('aria-pressed')") == "false";
    }
    row = stage && now.starts_with("P");
  }
  EXPECT_TRUE(stage);
  EXPECT_TRUE(toggled);
  ASSERT_TRUE(row);
  EXPECT_THAT(marked("tr"), ElementsAre(before));
  expect_silence();
}

// WCAG 2.2, success criteria 1.4.3 and 1.4.11: relative luminance and contrast as its definitions
// say; 4.5 for text, 3 for large text (24 px, or 18.66 px bold). Text over pictures (signed maps)
// chooses black or white by itself and is tested with the maps.
constexpr char kPale[] = R"((() => {
  const numbers = c => c.match(/[\d.]+/g).map(Number);
  const light = c => { const f = v => (v /= 255) <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
    return 0.2126 * f(c[0]) + 0.7152 * f(c[1]) + 0.0722 * f(c[2]); };
  const ground = e => { for (; e; e = e.parentElement) {
      const c = numbers(getComputedStyle(e).backgroundColor);
      if (c.length < 4 || c[3] > 0) return c; }
    return [255, 255, 255]; };
  const pale = new Set();
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let n; n = walk.nextNode();) {
    const e = n.parentElement;
    if (!n.textContent.trim() || e.closest('script, style, title, desc, .watermark, .tag')) continue;
    const s = getComputedStyle(e);
    if (!e.getClientRects().length || s.visibility === 'hidden') continue;
    if (e.matches('.t-on-light, .t-on-dark')) continue;
    const a = light(numbers(e.closest('svg') ? s.fill : s.color)), b = light(ground(e));
    const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    const px = parseFloat(s.fontSize);
    const large = px >= 24 || (px >= 18.66 && Number(s.fontWeight) >= 700);
    if (ratio < (large ? 3 : 4.5))
      pale.add(ratio.toFixed(2) + ' ' + e.tagName + '.' + (e.getAttribute('class') || '') + ' ' +
               n.textContent.trim().slice(0, 20));
  }
  return [...pale]; })())";

TEST_F(ReportPage, TextStandsOutInLightAndDark) {
  const auto expect_contrast = [&](const char* what) {
    for (const bool dark : {false, true}) {
      browser_->darken(dark);
      EXPECT_THAT(value(kPale), IsEmpty()) << what << (dark ? ", dark" : ", light");
    }
  };
  for (const SampleCase which :
       {SampleCase::within, SampleCase::outside, SampleCase::undecided, SampleCase::invalid}) {
    open(html_report(sample_results(which), test_options()));
    expect_contrast("report");
  }
  value("window.positions.show('P14')");
  expect_contrast("marked");
  open(certificate_html(sample_results(SampleCase::outside), test_options()));
  expect_contrast("certificate");
}

int pages_of_pdf(const std::string& pdf) {
  int n = 0;
  for (std::size_t at = pdf.find("/Type /Page"); at != std::string::npos;
       at = pdf.find("/Type /Page", at + 1))
    n += pdf.compare(at, 12, "/Type /Pages") != 0;
  return n;
}

TEST_F(ReportPage, PrintsOnAtMostTwentyPages) {
  open(html_report(sample_results(SampleCase::outside), test_options()));
  const int pages = pages_of_pdf(browser_->print());
  EXPECT_GE(pages, 5);
  EXPECT_LE(pages, 20);
}

TEST_F(ReportPage, EveryFigureHasATitleAndADescription) {
  open(html_report(sample_results(SampleCase::outside), test_options()));
  EXPECT_GT(value("document.querySelectorAll('svg').length"), 30);
  EXPECT_THAT(value("[...document.querySelectorAll('svg')].filter(s =>"
                    "!(s.querySelector(':scope > title')?.textContent.trim() &&"
                    "s.querySelector(':scope > desc')?.textContent.trim() &&"
                    "s.getAttribute('role') === 'img')).map(s => s.outerHTML.slice(0, 80))"),
              IsEmpty());
}

// A page that loads itself again would leave in the middle of a question.
std::string resting(std::string page) {
  const std::string again = "<meta http-equiv=\"refresh\" content=\"2\">";
  const std::size_t at = page.find(again);
  EXPECT_NE(at, std::string::npos);
  return at == std::string::npos ? page : page.erase(at, again.size());
}

// Readable from three metres: at least an eighth of the height, on screens of any shape.
TEST_F(ReportPage, StatusIsReadableFromAcrossTheRoom) {
  StatusView view;
  view.verdict = Verdict::within;
  view.decided = true;
  view.headline = "WITHIN LIMITS: spacing, probing, flatness";
  for (const Browser::Window& window :
       {Browser::Window{1920, 1080}, Browser::Window{1024, 768}, Browser::Window{390, 844}}) {
    open(resting(status_html(view, test_options())), window);
    const double size =
        value("parseFloat(getComputedStyle(document.querySelector('h1')).fontSize)");
    EXPECT_GE(size, window.width > window.height ? 0.12 * window.height : 40) << window.width;
    EXPECT_THAT(value(kSticksOut), IsEmpty()) << window.width;
    expect_silence();
  }
}

}  // namespace
}  // namespace rigproof
