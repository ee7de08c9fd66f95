#include "app/certificate_renderer.h"

#include "base/version.h"
#include "inputs/issuer.h"
#include "report/certificate.h"

namespace rigproof {

CertificateRenderer certificate_renderer(const std::filesystem::path& session) {
  return [session](const Results& results, const std::string& text, const SealMark& mark) {
    ReportOptions options;
    std::error_code ec;
    if (std::filesystem::is_regular_file(session / "issuer.toml", ec))
      options.issuer = load_issuer(session / "issuer.toml");
    if (!options.issuer.languages.empty()) options.language = options.issuer.languages.front();
    options.inch = options.issuer.units == "inch";
    options.paper = options.issuer.paper == "Letter" ? Paper::letter : Paper::a4;
    options.software_version = version();
    options.software_build = build();
    options.results_text = text;
    options.seal = mark;
    return std::vector<SealedDocument>{{"certificate.pdf", certificate_pdf(results, options)},
                                       {"certificate.html", certificate_html(results, options)}};
  };
}

}  // namespace rigproof
