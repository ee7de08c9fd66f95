#pragma once

#include <string>
#include <utility>
#include <vector>

#include "report/options.h"

namespace rigproof {

/// How documents are to be written. "" and nullopt: as the issuer says, else English and mm.
struct DocumentOptions {
  std::string language;
  std::string units;  ///< mm | inch
};

/// Everything that documents of a session need beside its results: the issuer (issuer.toml in the
/// session, else of the home folder), the session's photos, language and units. Called before the
/// evaluation, so that a fault in them does not come after minutes of work. Throws Error.
ReportOptions document_options(const Session& session, const DocumentOptions& wanted);

/// A file of the output folder.
using Document = std::pair<std::string, std::string>;

/// report.html, certificate.pdf, certificate.html and handover.html; in every further language of
/// the issuer certificate-<language>.pdf, .html and handover-<language>.html, unless a language was
/// asked for. `options.results_text` must be set.
std::vector<Document> documents(const Results& results,
                                const ReportOptions& options,
                                const DocumentOptions& wanted);

}  // namespace rigproof
