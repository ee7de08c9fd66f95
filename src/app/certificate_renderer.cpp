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
    options.inch = options.issuer.units == "inch";
    options.paper = options.issuer.paper == "Letter" ? Paper::letter : Paper::a4;
    options.software_version = version();
    options.software_build = build();
    options.results_text = text;
    options.seal = mark;
    std::vector<std::string> languages = options.issuer.languages;
    if (languages.empty()) languages.push_back(options.language);
    std::vector<SealedDocument> out;
    for (const std::string& code : languages) {
      const std::string name = "certificate" + (out.empty() ? "" : "-" + code);
      options.language = code;
      out.emplace_back(name + ".pdf", certificate_pdf(results, options));
      out.emplace_back(name + ".html", certificate_html(results, options));
    }
    return out;
  };
}

}  // namespace rigproof
