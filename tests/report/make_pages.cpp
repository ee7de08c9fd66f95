// Writes the documents of the invented session into a folder, for eyes and for browser.sh.
#include <filesystem>
#include <iostream>
#include <string>

#include "base/atomic_file.h"
#include "base/error.h"
#include "report/certificate.h"
#include "report/html_report.h"
#include "report/sample_results.h"

using namespace rigproof;

int main(int argc, char** argv) {
  if (argc < 2) {
    std::cerr << "usage: make_pages FOLDER [LANGUAGE]\n";
    return 64;
  }
  const std::filesystem::path folder = argv[1];
  std::filesystem::create_directories(folder);
  ReportOptions options;
  options.assets = RIGPROOF_SOURCE_DIR "/reports";
  options.language = argc > 2 ? argv[2] : "en";
  options.software_version = "0.1.0";
  options.software_build = "test";
  options.issuer.name = "Example Test House";
  options.issuer.address = {"1 Invented Street", "00000 Exampleton"};
  options.place_of_test = "Exampleton, hall 2";
  options.order = "EX-2026-17";
  try {
    const std::pair<SampleCase, const char*> cases[] = {{SampleCase::within, "within"},
                                                        {SampleCase::outside, "outside"},
                                                        {SampleCase::undecided, "undecided"},
                                                        {SampleCase::invalid, "invalid"}};
    for (const auto& [which, name] : cases) {
      const Results results = sample_results(which);
      write_atomically(folder / (std::string("report-") + name + ".html"),
                       html_report(results, options));
      write_atomically(folder / (std::string("certificate-") + name + ".pdf"),
                       certificate_pdf(results, options));
      write_atomically(folder / (std::string("certificate-") + name + ".html"),
                       certificate_html(results, options));
    }
  } catch (const Error& e) {
    std::cerr << e.what() << '\n' << e.next_step() << '\n';
    return static_cast<int>(e.kind());
  }
  return 0;
}
