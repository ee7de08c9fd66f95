#pragma once

#include <string>

#include "record/trend.h"
#include "report/axis.h"

namespace rigproof {

/// Factor and unit in which a series is shown: mm as µm, coefficients in their own unit.
struct SeriesUnit {
  double factor = 1;
  std::string name;
};
SeriesUnit shown_unit(const TrendSeries& series);

/// Individuals with ± U, moving-average line, control limits by phase, agreed limit, slope and
/// forecast, and what happened to the rig, over days since the first check.
void draw_control_chart(Canvas& canvas,
                        const TrendSeries& series,
                        const std::vector<HistoryEvent>& events,
                        double width,
                        double height,
                        const NumberStyle& numbers);

/// The same in letters for a terminal: `rows` lines of `columns` characters and a line of days.
/// • value, × value outside its control limits, ─ control limit, ═ agreed limit, ┊ new calibration.
std::string text_control_chart(const TrendSeries& series, int columns, int rows);

}  // namespace rigproof
