#include "report/bar_plot.h"

#include <algorithm>
#include <cmath>

#include "report/text_measure.h"
#include "report/value_plot.h"

namespace rigproof {

double bars_height(std::size_t rows) { return 6 + 17.0 * static_cast<double>(rows); }

void draw_bars(Canvas& canvas, const std::vector<BarRow>& rows, double width) {
  double label_width = 0, number_width = 0, largest = 1e-12;
  const TextStyle style{9.5};
  for (const BarRow& r : rows) {
    label_width = std::max(label_width, text_width(r.label, style));
    number_width = std::max(number_width, text_width(r.number, style));
    largest = std::max(largest, r.size);
  }
  label_width = std::min(label_width, width * 0.5);
  const double x0 = label_width + 8, room = width - x0 - number_width - 8;
  double y = 6;
  for (const BarRow& r : rows) {
    canvas.text_within({label_width, y + 10}, label_width, r.label, {9.5, Ink::text, Anchor::end});
    const double length = r.size / largest * room;
    canvas.rect({x0, y + 1}, std::max(length, 0.5), 11, {Ink::mark});
    canvas.text({x0 + length + 5, y + 10}, r.number, {9.5, Ink::text});
    y += 17;
  }
  canvas.line({x0, 4}, {x0, y}, {Ink::axis, 1, false});
}

void draw_limit_bar(Canvas& canvas, Point2 corner, double width, double height, const LimitBar& b) {
  const double span = 1.25 * std::max(b.limit, 1e-12);
  const auto at = [&](double v) {  // what is no number lies at zero
    return corner[0] + (v / span > 0 ? std::min(v / span, 1.0) : 0.0) * width;
  };
  const double size = std::abs(b.value), middle = corner[1] + height / 2;
  canvas.rect(corner, at(b.limit) - corner[0], height, {Ink::band});
  if (b.guard > 0)
    canvas.rect({at(b.limit - b.guard), corner[1]},
                at(b.limit + b.guard) - at(b.limit - b.guard),
                height,
                {Ink::guard, std::nullopt, true});
  canvas.rect({corner[0], middle - height * 0.18},
              std::max(at(size) - corner[0], 0.5),
              height * 0.36,
              {b.verdict == Verdict::outside ? Ink::failed : Ink::mark});
  canvas.line({at(size - b.U), middle}, {at(size + b.U), middle}, {Ink::text, 0.8});
  for (const double end : {size - b.U, size + b.U})
    canvas.line({at(end), middle - 2.5}, {at(end), middle + 2.5}, {Ink::text, 0.8});
  canvas.line(
      {at(b.limit), corner[1] - 1.5}, {at(b.limit), corner[1] + height + 1.5}, {Ink::limit, 1.4});
  canvas.line({corner[0], corner[1]}, {corner[0], corner[1] + height}, {Ink::axis, 0.8});
}

}  // namespace rigproof
