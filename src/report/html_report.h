// report: results made readable: engineer's report, certificate, handover sheet, status page.
// Enters: Results, ReportOptions, the templates, styles, viewer and languages of reports/. Leaves:
// whole documents as bytes, the same for the same input. Nothing is judged, fitted or rounded into
// a verdict here. Every text from outside is made plain and escaped; pages load nothing.
#pragma once

#include <string>

#include "report/options.h"

namespace rigproof {

/// The engineer's report as one HTML file that opens from disk.
std::string html_report(const Results& results, const ReportOptions& options);

}  // namespace rigproof
