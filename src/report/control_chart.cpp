#include "report/control_chart.h"

#include <algorithm>
#include <cmath>

#include "report/chart_range.h"

namespace rigproof {
namespace {

struct Plot {
  Canvas& canvas;
  const TrendSeries& series;
  const NumberStyle& numbers;
  SeriesUnit unit;
  Frame frame;
  double first = 0;  ///< day at the left

  double x(double t) const { return frame.x_axis()(t - first); }
  double y(double value) const { return frame.y_axis()(value * unit.factor); }
  double start(const TrendPhase& phase) const { return x(series.points[phase.first].t); }
  double end(const TrendPhase& phase) const {
    return x(series.points[phase.first + phase.count - 1].t);
  }
};

void draw_limits(const Plot& p) {
  if (!limit_is_near(p.series)) return;
  for (std::size_t i = 0; i + 1 < p.series.points.size(); ++i) {
    const auto& a = p.series.points[i];
    if (!a.limit) continue;
    for (const double sign : {-1.0, 1.0}) {
      if (sign < 0 && p.frame.y.low() >= 0) continue;
      p.canvas.line({p.x(a.t), p.y(sign * *a.limit)},
                    {p.x(p.series.points[i + 1].t), p.y(sign * *a.limit)},
                    {Ink::limit, 1.6, false});
    }
  }
}

void draw_phase(const Plot& p, const TrendPhase& phase, bool is_first) {
  if (!is_first) {
    const double at = p.start(phase) - 4;
    p.canvas.line({at, p.frame.top}, {at, p.frame.bottom}, {Ink::axis, 1, true});
    p.canvas.text({at + 3, p.frame.top - 4}, "calibrated", {kAxisText, Ink::quiet});
  }
  if (phase.baseline == 0) return;
  for (const double level : {phase.individuals.lower, phase.individuals.upper})
    p.canvas.line({p.start(phase), p.y(level)},
                  {p.end(phase), p.y(level)},
                  {Ink::second, 1, phase.provisional});
  p.canvas.line({p.start(phase), p.y(phase.individuals.mean)},
                {p.end(phase), p.y(phase.individuals.mean)},
                {Ink::grid, 1.4, false});
  Outline average;
  for (std::size_t i = 0; i < phase.count; ++i)
    average.points.push_back({p.x(p.series.points[phase.first + i].t), p.y(phase.ewma.z[i])});
  p.canvas.shape({average}, {}, {Ink::second, 1.6, false});
  if (phase.slope) {
    const double from = p.series.points[phase.first].t;
    const double edge =
        (phase.slope->slope > 0 ? p.frame.y.high() : p.frame.y.low()) / p.unit.factor;
    const double to = std::min(p.first + p.frame.x.high(),
                               from + (edge - phase.slope->at(from)) / phase.slope->slope);
    p.canvas.line({p.x(from), p.y(phase.slope->at(from))},
                  {p.x(to), p.y(phase.slope->at(to))},
                  {Ink::mark, 1, true});
  }
}

void draw_points(const Plot& p) {
  for (std::size_t i = 0; i < p.series.points.size(); ++i) {
    const TrendPoint& point = p.series.points[i];
    const Point2 at{p.x(point.t), p.y(point.value)};
    p.canvas.begin({"",
                    point.day + ": " + p.numbers.number(point.value * p.unit.factor, 1) + " ± " +
                        p.numbers.number(point.U * p.unit.factor, 1) + " " + p.unit.name + ", " +
                        point.session});
    p.canvas.line({at[0], p.y(point.value - point.U)},
                  {at[0], p.y(point.value + point.U)},
                  {Ink::mark, 1, false});
    p.canvas.circle(at, 3, {Ink::mark}, {});
    if (is_alarm(p.series, i)) p.canvas.circle(at, 6, {}, {Ink::failed, 1.6, false});
    p.canvas.end();
  }
}

void draw_events(const Plot& p, const std::vector<HistoryEvent>& events) {
  for (const HistoryEvent& event : events) {
    const double t = day_number(event.day);
    if (t < p.first || t > p.first + p.frame.x.high()) continue;
    p.canvas.begin({"", event.day + ": " + event.kind + ", " + event.note});
    p.canvas.line({p.x(t), p.frame.top}, {p.x(t), p.frame.bottom}, {Ink::quiet, 1, true});
    p.canvas.text({p.x(t) + 3, p.frame.top + 9}, event.kind, {kAxisText, Ink::quiet});
    p.canvas.end();
  }
}

void draw_forecast(const Plot& p) {
  if (!p.series.forecast) return;
  const Forecast& f = *p.series.forecast;
  const TrendPhase& phase = p.series.phases.back();
  const double level = p.y(std::copysign(f.limit, phase.slope ? phase.slope->slope : 1));
  const double right = p.frame.right;
  const double from = std::min(p.x(day_number(f.earliest)), right);
  const double to = f.latest ? std::min(p.x(day_number(*f.latest)), right) : right;
  p.canvas.line({from, level}, {to, level}, {Ink::failed, 4, false});
  p.canvas.text({std::min(from, right - 60), level - 5},
                f.earliest,
                {kAxisText, Ink::failed, Anchor::end, true});
}

}  // namespace

SeriesUnit shown_unit(const TrendSeries& series) {
  if (series.unit == "mm") return {1000, "µm"};
  return {1, series.unit == "urad" ? "µrad" : series.unit};
}

void draw_control_chart(Canvas& canvas,
                        const TrendSeries& series,
                        const std::vector<HistoryEvent>& events,
                        double width,
                        double height,
                        const NumberStyle& numbers) {
  if (series.points.empty()) return;
  Plot p{canvas, series, numbers, shown_unit(series), {}, series.points.front().t};
  const Range range = range_of(series);
  double last = series.points.back().t;
  if (series.forecast)
    last = std::max(last, day_number(series.forecast->latest.value_or(series.forecast->expected)));
  p.frame.y = ticks(range.low * p.unit.factor, range.high * p.unit.factor, 6);
  p.frame.x = ticks(0, std::max(1.0, last - p.first), 8);
  p.frame.left = number_width(p.frame.y, numbers) + 10;
  p.frame.right = width - 16;
  p.frame.top = 20;
  p.frame.bottom = height - 30;
  p.frame.x_title = "days since " + series.points.front().day;
  p.frame.y_title = p.unit.name;
  p.frame.draw(canvas, numbers);
  draw_limits(p);
  for (const TrendPhase& phase : series.phases) draw_phase(p, phase, &phase == &series.phases[0]);
  draw_events(p, events);
  draw_points(p);
  draw_forecast(p);
}

}  // namespace rigproof
