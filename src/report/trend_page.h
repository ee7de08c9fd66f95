#pragma once

#include <string>
#include <vector>

#include "record/rig_status.h"
#include "report/options.h"

namespace rigproof {

/// The history of one rig and field as a page with a chart a quantity.
std::string trend_html(const Trend& trend, const ReportOptions& options);
/// A table of all rigs.
std::string rigs_html(const std::vector<RigStatus>& rigs,
                      const std::string& today,
                      const ReportOptions& options);

/// What a phase of a series says, in words: "rises by 1.2 µm a month", "stepped by …"; "" nothing.
std::string phase_words(const TrendSeries& series, const TrendPhase& phase);
/// "sphere_spacing reaches its limit between … and …".
std::string forecast_words(const Forecast& forecast);
std::string window_words(const SuspectWindow& window);

}  // namespace rigproof
