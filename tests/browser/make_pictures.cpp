// Writes pictures of the documents of an invented session for docs/pictures, and for eyes.
#include <filesystem>
#include <iostream>

#include "base/atomic_file.h"
#include "browser/browser.h"
#include "report/certificate.h"
#include "report/html_report.h"
#include "report/sample_results.h"
#include "report/status_page.h"
#include "report/test_options.h"

using namespace rigproof;

namespace {

struct Picture {
  const char* name;
  std::string page;
  Browser::Window window;
  const char* before = "0";  ///< run in the page first
};

std::string status() {
  StatusView view;
  view.last_scan = "scans/scan-06.ply";
  view.last_words = "P06";
  view.last_points = 41'200;
  view.last_cap_deg = 62;
  view.values = {{"sphere_spacing", -0.0041, 0.019}, {"probing_form", 0.0531, 0.072}};
  view.done = 6, view.needed = 12;
  view.next_id = "P07", view.next_place = "bar-250-07, far-top-left";
  view.open = {"P08", "P09", "P10", "P11", "P12"};
  view.minutes_left = 11;
  return status_html(view, test_options());
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) {
    std::cerr << "usage: make_pictures FOLDER\n";
    return 64;
  }
  const std::filesystem::path folder = argv[1];
  std::filesystem::create_directories(folder);
  const std::string within = html_report(sample_results(), test_options());
  const std::string outside = html_report(sample_results(SampleCase::outside), test_options());
  const std::string german = html_report(sample_results(SampleCase::undecided), test_options("de"));
  const char* volume = "document.getElementById('volume').scrollIntoView()";
  const Picture pictures[] = {
      {"verdict", within, {1000, 640}},
      {"volume", outside, {1000, 640}, volume},
      {"volume-dark", outside, {1000, 640, true}, volume},
      {"positions", outside, {1000, 640}, "document.getElementById('positions').scrollIntoView()"},
      {"narrow", german, {360, 720}},
      {"status", status(), {960, 540}},
  };
  try {
    Browser browser;
    for (const Picture& p : pictures) {
      write_atomically(folder / "page.html", p.page);
      browser.open(folder / "page.html", p.window);
      browser.value(
          std::string(p.before) +
          "; new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))");
      write_atomically(folder / (std::string(p.name) + ".png"), browser.screenshot());
    }
  } catch (const std::exception& e) {
    std::cerr << e.what() << '\n';
    return 70;
  }
  std::filesystem::remove(folder / "page.html");
  return 0;
}
