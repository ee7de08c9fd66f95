#include "app/documents.h"

#include "base/error.h"
#include "base/version.h"
#include "inputs/session_folder.h"
#include "report/assets.h"
#include "report/certificate.h"
#include "report/handover.h"
#include "report/html_report.h"
#include "report/language.h"
#include "report/photo.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

std::optional<Issuer> issuer_of(const Session& session) {
  const fs::path own = path_within(session.folder, "issuer.toml");
  std::error_code ec;
  return fs::is_regular_file(own, ec) ? load_issuer(own) : home_issuer();
}

bool is_inch(const std::string& units) {
  if (units == "inch" || units == "mm") return units == "inch";
  throw Error(ErrorKind::usage,
              "--units is \"" + units + "\"",
              "Documents are written with --units mm or --units inch.");
}

std::vector<std::string> further_languages(const ReportOptions& options,
                                           const DocumentOptions& wanted) {
  if (!wanted.language.empty() || options.issuer.languages.empty()) return {};
  return {options.issuer.languages.begin() + 1, options.issuer.languages.end()};
}

}  // namespace

ReportOptions document_options(const Session& session, const DocumentOptions& wanted) {
  ReportOptions o;
  o.issuer = issuer_of(session).value_or(Issuer{});
  if (!o.issuer.languages.empty()) o.language = o.issuer.languages.front();
  if (!wanted.language.empty()) o.language = wanted.language;
  o.inch = is_inch(wanted.units.empty() ? o.issuer.units : wanted.units);
  o.paper = o.issuer.paper == "Letter" ? Paper::letter : Paper::a4;
  o.software_version = version();
  o.software_build = build();
  o.assets = assets_folder(o);
  // What no language can be made of is refused before anything is written.
  std::vector<std::string> languages = further_languages(o, wanted);
  languages.push_back(o.language);
  for (const std::string& code : languages) const Language loaded(o.assets, code);
  o.photos = load_photos(path_within(session.folder, "photos"));
  return o;
}

std::vector<Document> documents(const Results& results,
                                const ReportOptions& options,
                                const DocumentOptions& wanted) {
  std::vector<Document> out{{"report.html", html_report(results, options)}};
  const auto add = [&](const ReportOptions& o, const std::string& ending) {
    out.emplace_back("certificate" + ending + ".pdf", certificate_pdf(results, o));
    out.emplace_back("certificate" + ending + ".html", certificate_html(results, o));
    out.emplace_back("handover" + ending + ".html", handover_html(results, o));
  };
  add(options, "");
  ReportOptions other = options;
  for (const std::string& code : further_languages(options, wanted)) {
    other.language = code;
    add(other, "-" + code);
  }
  return out;
}

}  // namespace rigproof
