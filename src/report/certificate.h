#pragma once

#include <string>

#include "report/options.h"

namespace rigproof {

/// The certificate as PDF: two pages, more when the positions need them; results.json attached.
/// Wording after ISO/IEC 17025:2017, 7.8.2, 7.8.4 and 7.8.6. A draft without an authoriser until
/// `options.seal` is set.
std::string certificate_pdf(const Results& results, const ReportOptions& options);
/// The same words as one HTML page without scripts.
std::string certificate_html(const Results& results, const ReportOptions& options);

}  // namespace rigproof
