// Writes the documents of invented sessions into a folder, for eyes.
#include <filesystem>
#include <iostream>
#include <string>

#include "base/atomic_file.h"
#include "base/error.h"
#include "report/certificate.h"
#include "report/handover.h"
#include "report/hostile_results.h"
#include "report/html_report.h"
#include "report/sample_results.h"

using namespace rigproof;

namespace {

constexpr int kManyPositions = 40;

const std::string kLongName =
    "Musterwerk für Präzisionsmesstechnik und Prüfkörperüberwachung in Beispielstadt an der "
    "Unerfindlichen, Halle 2, Messplatz 14, mit Unterlagen vom vergangenen Frühjahr";

ReportOptions options_for(const std::string& language, bool letter) {
  ReportOptions o;
  o.assets = RIGPROOF_SOURCE_DIR "/reports";
  o.language = language;
  o.paper = letter ? Paper::letter : Paper::a4;
  o.software_version = "0.1.0";
  o.software_build = "test";
  o.issuer.name = "Example Test House";
  o.issuer.address = {"1 Invented Street", "00000 Exampleton"};
  o.issuer.place_of_test = "Exampleton, hall 2";
  o.order = "EX-2026-17";
  return o;
}

void write(const std::filesystem::path& folder,
           const std::string& name,
           const Results& results,
           const ReportOptions& options) {
  write_atomically(folder / ("report-" + name + ".html"), html_report(results, options));
  write_atomically(folder / ("certificate-" + name + ".pdf"), certificate_pdf(results, options));
  write_atomically(folder / ("certificate-" + name + ".html"), certificate_html(results, options));
  write_atomically(folder / ("handover-" + name + ".html"), handover_html(results, options));
}

void write_all(const std::filesystem::path& folder, const ReportOptions& options) {
  write(folder, "within", sample_results(), options);
  write(folder, "outside", sample_results(SampleCase::outside), options);
  write(folder, "undecided", sample_results(SampleCase::undecided), options);
  write(folder, "invalid", sample_results(SampleCase::invalid), options);
  write(folder, "many", sample_results(SampleCase::within, kManyPositions - 23), options);
  write(folder, "long", hostile_results(kLongName), options);
  Results simulated = sample_results();
  simulated.simulated = true;
  write(folder, "simulated", simulated, options);
  ReportOptions sealed = options;
  sealed.seal = SealMark{"A. Authoriser",
                         Date{std::chrono::year{2026}, std::chrono::month{3}, std::chrono::day{16}},
                         std::string(64, 'a'),
                         std::string(64, 'b')};
  write(folder, "sealed", sample_results(), sealed);
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 2) {
    std::cerr << "usage: make_pages FOLDER [LANGUAGE] [letter]\n";
    return 64;
  }
  const std::filesystem::path folder = argv[1];
  std::filesystem::create_directories(folder);
  try {
    write_all(folder, options_for(argc > 2 ? argv[2] : "en", argc > 3));
  } catch (const Error& e) {
    std::cerr << e.what() << '\n' << e.next_step() << '\n';
    return static_cast<int>(e.kind());
  }
  return 0;
}
