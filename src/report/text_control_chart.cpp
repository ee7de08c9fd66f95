#include <algorithm>
#include <cmath>

#include "report/chart_range.h"
#include "report/control_chart.h"

namespace rigproof {

std::string text_control_chart(const TrendSeries& series, int columns, int rows) {
  if (series.points.empty() || columns < 2 || rows < 2) return {};
  Range range = range_of(series);
  if (range.low == range.high) range.high += 1;
  const double first = series.points.front().t;
  const double span = std::max(1.0, series.points.back().t - first);
  const auto column = [&](double t) {
    return static_cast<std::size_t>(std::lround((t - first) / span * (columns - 1)));
  };
  const auto row = [&](double v) {
    // Halves: the difference of two numbers may be more than a double holds.
    const double share = (range.high / 2 - v / 2) / (range.high / 2 - range.low / 2);
    return share > 0 ? static_cast<std::size_t>(std::lround(std::min(share, 1.0) * (rows - 1))) : 0;
  };
  const bool near = limit_is_near(series);
  using Cells = std::vector<std::vector<std::string>>;
  Cells cells(static_cast<std::size_t>(rows),
              std::vector<std::string>(static_cast<std::size_t>(columns), " "));
  const auto level = [&](double v, std::size_t from, std::size_t to, const char* mark) {
    for (std::size_t c = from; c <= to; ++c) cells[row(v)][c] = mark;
  };
  for (const TrendPhase& phase : series.phases) {
    const std::size_t from = column(series.points[phase.first].t);
    const std::size_t to = column(series.points[phase.first + phase.count - 1].t);
    if (phase.baseline > 0) {
      level(phase.individuals.lower, from, to, "─");
      level(phase.individuals.upper, from, to, "─");
    }
    const auto& limit = series.points[phase.first].limit;
    if (limit && near) {
      level(*limit, from, to, "═");
      if (range.low < 0) level(-*limit, from, to, "═");
    }
    if (phase.first > 0)
      for (auto& line : cells) line[from] = "┊";
  }
  for (std::size_t i = 0; i < series.points.size(); ++i)
    cells[row(series.points[i].value)][column(series.points[i].t)] =
        is_alarm(series, i) ? "×" : "•";
  const SeriesUnit unit = shown_unit(series);
  const NumberStyle numbers("en", false);
  std::string out;
  for (std::size_t r = 0; r < cells.size(); ++r) {
    std::string label;
    if (r == 0) label = numbers.number(range.high * unit.factor, 1);
    if (r == row(0)) label = "0";
    if (r + 1 == cells.size()) label = numbers.number(range.low * unit.factor, 1);
    std::size_t letters = 0;  // code points, not bytes
    for (const char c : label) letters += (c & 0xC0) != 0x80;
    out += std::string(letters < 9 ? 9 - letters : 0, ' ') + label + " │";
    for (const std::string& cell : cells[r]) out += cell;
    out += "\n";
  }
  const std::string& from = series.points.front().day;
  const std::string& to = series.points.back().day;
  const int gap = columns - static_cast<int>(from.size() + to.size());
  out += std::string(11, ' ') + from;
  if (series.points.size() > 1)
    out += std::string(static_cast<std::size_t>(std::max(1, gap)), ' ') + to;
  return out + "\n";
}

}  // namespace rigproof
