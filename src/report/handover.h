#pragma once

#include <string>

#include "report/options.h"

namespace rigproof {

/// One page for the customer, not part of the certificate: five questions with short answers. Good
/// enough for my tolerance? How long does it hold? Accredited? Where is it weakest? What changed?
std::string handover_html(const Results& results, const ReportOptions& options);

}  // namespace rigproof
