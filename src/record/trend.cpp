#include "record/trend.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace rigproof {
namespace {

/// Series in the order in which they first appear.
class SeriesList {
 public:
  TrendSeries& at(const std::string& id, const std::string& unit, bool mean) {
    const auto [it, is_new] = index_.try_emplace(id, list_.size());
    if (is_new) list_.push_back({id, unit, mean, {}, {}, {}});
    return list_[it->second];
  }
  std::vector<TrendSeries> take() { return std::move(list_); }

 private:
  std::vector<TrendSeries> list_;
  std::map<std::string, std::size_t> index_;
};

/// Mean of the values of one id within one check; its U is the largest, its limit the smallest.
struct Pool {
  double sum = 0, U = 0;
  std::size_t n = 0;
  std::optional<double> limit;
  void add(const HistoryValue& v) {
    sum += v.value;
    ++n;
    if (std::isfinite(v.U)) U = std::max(U, v.U);
    if (v.limit) limit = std::min(limit.value_or(*v.limit), *v.limit);
  }
};

std::string place_series(const HistoryValue& v) {
  std::string id = v.characteristic + " " + v.artefact;
  for (const std::string& part : {v.feature, v.place.empty() ? v.zone : v.place})
    if (!part.empty()) id += " " + part;
  return id;
}

TrendPoint point_of(const HistoryCheck& check, double value, double U) {
  return {check.day,
          check.session,
          check.verdict,
          check.calibration,
          day_number(check.day),
          value,
          U,
          std::nullopt};
}

void chart_check(const HistoryCheck& check, SeriesList& all) {
  std::map<std::string, Pool> means, places;
  std::vector<std::string> seen, places_seen;
  for (const HistoryValue& v : check.values) {
    if (!std::isfinite(v.value)) continue;
    if (means[v.characteristic].n == 0) seen.push_back(v.characteristic);
    means[v.characteristic].add(v);
    const std::string id = place_series(v);
    if (places[id].n == 0) places_seen.push_back(id);
    places[id].add(v);
  }
  const auto put = [&](const std::string& id, const Pool& pool, bool mean) {
    TrendPoint point = point_of(check, pool.sum / static_cast<double>(pool.n), pool.U);
    point.limit = pool.limit;
    all.at(id, "mm", mean).points.push_back(std::move(point));
  };
  for (const std::string& id : seen) put(id, means.at(id), true);
  for (const std::string& id : places_seen) put(id, places.at(id), false);
  for (const HistoryCause& cause : check.causes)
    if (std::isfinite(cause.coefficient))
      all.at("cause " + cause.id, cause.unit, false)
          .points.push_back(point_of(check, cause.coefficient, 2 * cause.u));
}

/// The values of a phase and their times.
struct Stretch {
  std::vector<double> t, y;
};
Stretch stretch(const TrendSeries& series, const TrendPhase& phase) {
  Stretch out;
  for (std::size_t i = phase.first; i < phase.first + phase.count; ++i) {
    out.t.push_back(series.points[i].t);
    out.y.push_back(series.points[i].value);
  }
  return out;
}

double squares_about(const StraightLine& line) {
  return line.sigma * line.sigma * (static_cast<double>(line.n) - 2);
}

void analyse(const TrendSeries& series,
             TrendPhase& phase,
             double significance,
             const TrendOptions& options) {
  if (phase.count < options.fewest) return;
  const Stretch s = stretch(series, phase);
  phase.baseline = std::min(phase.count, options.settled);
  phase.provisional = phase.count < options.settled;
  phase.individuals = individuals_chart(std::span(s.y).first(phase.baseline));
  phase.ewma = ewma_chart(s.y, phase.individuals.mean, phase.individuals.sigma, options.ewma);
  for (std::size_t i = 0; i < s.y.size(); ++i)
    if (s.y[i] < phase.individuals.lower || s.y[i] > phase.individuals.upper ||
        std::abs(phase.ewma.z[i] - phase.individuals.mean) > phase.ewma.half_width[i])
      phase.alarms.push_back(phase.first + i);
  const StraightLine line = fit_line(s.t, s.y);
  const std::optional<Step> step = find_step(s.y);
  const bool step_fits_better = step && step->sum_of_squares < squares_about(line);
  if (step_fits_better && step->p < significance)
    phase.step = step;
  else if (line.p < significance)
    phase.slope = line;
}

void split_into_phases(TrendSeries& series) {
  for (std::size_t i = 0; i < series.points.size(); ++i) {
    const std::string& of_this = series.points[i].calibration;
    if (series.phases.empty() || series.phases.back().calibration != of_this) {
      series.phases.emplace_back();
      series.phases.back().first = i;
      series.phases.back().calibration = of_this;
    }
    ++series.phases.back().count;
  }
}

/// |e| + U reaches the limit on the side that the slope leads to.
std::optional<Forecast> forecast_of(const TrendSeries& series, const TrendOptions& options) {
  const TrendPhase& phase = series.phases.back();
  const TrendPoint& last = series.points.back();
  if (!phase.slope || !last.limit) return std::nullopt;
  double U = 0;
  for (std::size_t i = phase.first; i < series.points.size(); ++i)
    U = std::max(U, series.points[i].U);
  const double level = std::copysign(*last.limit - U, phase.slope->slope);
  const auto reached = crossing(*phase.slope, level);
  const double horizon = last.t + options.horizon * (last.t - series.points[phase.first].t);
  if (!reached || !(reached->earliest <= horizon)) return std::nullopt;
  Forecast out;
  out.series = series.id;
  out.limit = *last.limit;
  out.earliest = day_text(std::max(reached->earliest, last.t));
  out.expected = day_text(std::clamp(reached->expected, last.t, horizon));
  if (reached->latest <= horizon) out.latest = day_text(std::max(reached->latest, last.t));
  return out;
}

}  // namespace

double day_number(const std::string& day) {
  return std::chrono::sys_days(parse_date(day)).time_since_epoch().count();
}

std::string day_text(double number) {
  // From the year 1 to 9999, four digits as parse_date takes them; what is no number is far away.
  constexpr double first = -719162, last = 2932896;
  const double day = number < last ? std::max(number, first) : last;
  return to_string(
      Date(std::chrono::sys_days(std::chrono::days(static_cast<int>(std::floor(day))))));
}

std::vector<SuspectWindow> suspect_windows(const std::vector<HistoryCheck>& checks) {
  std::vector<SuspectWindow> out;
  const HistoryCheck* good = nullptr;
  bool failing = false;
  for (const HistoryCheck& check : checks) {
    if (check.verdict == "within") {
      good = &check;
      failing = false;
    } else if (check.verdict == "outside" && !failing) {
      out.push_back({good ? good->day : "", good ? good->session : "", check.day, check.session});
      failing = true;
    }
  }
  return out;
}

Trend make_trend(std::vector<HistoryCheck> checks,
                 std::vector<HistoryEvent> events,
                 const TrendOptions& options) {
  Trend trend;
  trend.checks = last_runs(std::move(checks));
  trend.events = std::move(events);
  std::ranges::stable_sort(
      trend.checks, {}, [](const HistoryCheck& c) { return std::pair(c.day, c.recorded); });
  std::ranges::stable_sort(trend.events, {}, &HistoryEvent::day);
  trend.suspect = suspect_windows(trend.checks);
  if (trend.checks.empty()) return trend;
  trend.rig = trend.checks.front().rig;
  trend.field = trend.checks.front().field;

  SeriesList all;
  for (const HistoryCheck& check : trend.checks) chart_check(check, all);
  trend.series = all.take();
  std::ranges::stable_sort(trend.series, std::greater{}, &TrendSeries::mean);
  const double significance = options.significance / static_cast<double>(trend.series.size());
  for (TrendSeries& series : trend.series) {
    split_into_phases(series);
    for (TrendPhase& phase : series.phases) analyse(series, phase, significance, options);
    series.forecast = forecast_of(series, options);
    if (series.forecast &&
        (!trend.forecast || series.forecast->earliest < trend.forecast->earliest))
      trend.forecast = series.forecast;
  }
  return trend;
}

}  // namespace rigproof
