#include "report/axis.h"

#include <algorithm>
#include <cmath>

#include "report/text_measure.h"

namespace rigproof {

Ticks ticks(double low, double high, int most) {
  if (!(high > low)) {
    const double pad = std::max(std::abs(low), 1.0) * 0.5;
    low -= pad;
    high += pad;
  }
  // Documents may hold any number. What no frame can show counts as nothing to show: its ticks
  // would be without end.
  constexpr double most_size = 1e60, least_span = 1e-60;
  const double size = std::max(std::abs(low), std::abs(high));
  if (!(size < most_size && high - low > least_span)) return {1, 0, {0, 1}};
  Ticks t;
  const double power = std::pow(10, std::floor(std::log10((high - low) / most)));
  for (const double factor : {1.0, 2.0, 5.0, 10.0, 20.0, 50.0}) {
    t.step = factor * power;
    if (std::ceil(high / t.step - 1e-9) - std::floor(low / t.step + 1e-9) <= most) break;
  }
  t.decimals = std::max(0, -static_cast<int>(std::floor(std::log10(t.step) + 1e-9)));
  const auto first = static_cast<long>(std::floor(low / t.step + 1e-9));
  const auto last = static_cast<long>(std::ceil(high / t.step - 1e-9));
  for (long i = first; i <= last; ++i) t.at.push_back(static_cast<double>(i) * t.step);
  return t;
}

double number_width(const Ticks& t, const NumberStyle& numbers) {
  double widest = 0;
  for (const double v : t.at)
    widest = std::max(widest, text_width(numbers.number(v, t.decimals), {kAxisText}));
  return widest;
}

void Frame::draw(Canvas& canvas, const NumberStyle& numbers, bool y_numbers) const {
  const Axis ax = x_axis(), ay = y_axis();
  for (const double v : y.at) {
    canvas.line({left, ay(v)}, {right, ay(v)}, {v == 0 ? Ink::axis : Ink::grid, 1, false});
    if (y_numbers)
      canvas.text({left - 4, ay(v) + 3},
                  numbers.number(v, y.decimals),
                  {kAxisText, Ink::quiet, Anchor::end});
  }
  double free_from = -1e9;
  for (const double v : x.at) {
    canvas.line({ax(v), bottom}, {ax(v), bottom + 3}, {Ink::axis, 1, false});
    const std::string text = numbers.number(v, x.decimals);
    const double half = text_width(text, {kAxisText}) / 2;
    if (ax(v) - half < free_from) continue;
    canvas.text({ax(v), bottom + 13}, text, {kAxisText, Ink::quiet, Anchor::middle});
    free_from = ax(v) + half + 5;
  }
  if (!x_title.empty())
    canvas.text({(left + right) / 2, bottom + 25}, x_title, {kAxisText, Ink::text, Anchor::middle});
  if (!y_title.empty()) canvas.text({left, top - 7}, y_title, {kAxisText, Ink::text});
}

}  // namespace rigproof
