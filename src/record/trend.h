#pragma once

#include <optional>
#include <string>
#include <vector>

#include "record/chart.h"
#include "record/history.h"

namespace rigproof {

/// Method section 10; the counts are our own decision.
struct TrendOptions {
  std::size_t fewest = 6;    ///< no limits and no forecast before so many checks of a phase
  std::size_t settled = 12;  ///< limits are provisional until then and stay as they are afterwards
  double significance = 0.05;  ///< of a slope or step, shared out over the series charted
  double horizon = 3;          ///< a forecast reaches at most so many spans of its phase ahead
  EwmaOptions ewma;
};

/// One check on a chart.
struct TrendPoint {
  std::string day, session, verdict, calibration;
  double t = 0;  ///< days since 1970-01-01
  double value = 0, U = 0;
  std::optional<double> limit;
};

/// The checks between two calibrations.
struct TrendPhase {
  std::size_t first = 0, count = 0;  ///< points of the series
  std::string calibration;
  std::size_t baseline = 0;  ///< points that the limits come from; 0: too few for limits
  bool provisional = true;
  IndividualsChart individuals;
  EwmaChart ewma;
  std::vector<std::size_t> alarms;    ///< points outside the limits of individuals or EWMA
  std::optional<StraightLine> slope;  ///< only a significant one
  std::optional<Step> step;           ///< only a significant one that fits better than a slope
};

/// When |value| + U is expected to reach the limit if the slope goes on. Days as 2026-03-14.
struct Forecast {
  std::string series;
  double limit = 0;
  std::string earliest, expected;
  std::optional<std::string> latest;  ///< nullopt: beyond the horizon
};

/// One signed quantity over time: one point a check.
struct TrendSeries {
  std::string id;     ///< "sphere_spacing", "sphere_spacing bar-1 A-B P01", "cause toe-in"
  std::string unit;   ///< "mm", or that of the coefficient
  bool mean = false;  ///< the mean of all values of a characteristic
  std::vector<TrendPoint> points;
  std::vector<TrendPhase> phases;
  std::optional<Forecast> forecast;
};

/// Work between the last good check and a failed one is suspect.
struct SuspectWindow {
  std::string from_day, from_session;  ///< "" when no check before was good
  std::string to_day, to_session;
};

struct Trend {
  std::string rig, field;
  std::vector<HistoryCheck> checks;  ///< last run of each session, by day
  std::vector<HistoryEvent> events;
  std::vector<TrendSeries> series;
  std::vector<SuspectWindow> suspect;
  std::optional<Forecast> forecast;  ///< the earliest of all series
};

/// `checks` of one rig and field in any order.
Trend make_trend(std::vector<HistoryCheck> checks,
                 std::vector<HistoryEvent> events,
                 const TrendOptions& options = {});

std::vector<SuspectWindow> suspect_windows(const std::vector<HistoryCheck>& checks);

/// Days since 1970-01-01 and back. Throws Error for what is no date.
double day_number(const std::string& day);
std::string day_text(double number);

}  // namespace rigproof
