#pragma once

#include <algorithm>
#include <cmath>

#include "record/trend.h"

namespace rigproof {

/// What a chart must show of values, in the unit of the series.
struct Range {
  double low = 0, high = 0;
  void take(double v) {
    if (!std::isfinite(v)) return;
    low = std::min(low, v);
    high = std::max(high, v);
  }
};

/// Values, U, control limits, and the agreed limit where it is near.
Range range_of(const TrendSeries& series);
/// The agreed limit belongs into the picture where the values come near it.
bool limit_is_near(const TrendSeries& series);
/// Outside the control limits of its phase.
bool is_alarm(const TrendSeries& series, std::size_t point);

}  // namespace rigproof
