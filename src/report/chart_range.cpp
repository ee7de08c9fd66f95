#include "report/chart_range.h"

namespace rigproof {

bool is_alarm(const TrendSeries& series, std::size_t point) {
  // Both lists are in order: long histories have many of either.
  const auto next = std::ranges::upper_bound(series.phases, point, {}, &TrendPhase::first);
  return next != series.phases.begin() &&
         std::ranges::binary_search(std::prev(next)->alarms, point);
}

bool limit_is_near(const TrendSeries& series) {
  return series.forecast || std::ranges::any_of(series.points, [](const TrendPoint& p) {
           return p.limit && 3 * (std::abs(p.value) + p.U) > *p.limit;
         });
}

Range range_of(const TrendSeries& series) {
  Range range;
  const bool with_limit = limit_is_near(series);
  const bool below_zero =
      std::ranges::any_of(series.points, [](const TrendPoint& p) { return p.value < p.U; });
  for (const TrendPoint& p : series.points) {
    range.take(p.value - p.U);
    range.take(p.value + p.U);
    if (with_limit && p.limit && below_zero) range.take(-*p.limit);
    if (with_limit && p.limit) range.take(*p.limit);
  }
  for (const TrendPhase& phase : series.phases) {
    if (phase.baseline == 0) continue;
    range.take(phase.individuals.lower);
    range.take(phase.individuals.upper);
  }
  return range;
}

}  // namespace rigproof
