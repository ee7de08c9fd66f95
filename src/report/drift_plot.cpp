#include "report/drift_plot.h"

#include <algorithm>
#include <map>

namespace rigproof {

void draw_drift(Canvas& canvas,
                const std::vector<DriftPoint>& points,
                double width,
                double height,
                const std::string& x_title,
                const std::string& y_title,
                const NumberStyle& numbers) {
  if (points.empty()) return;
  double low = 0, high = 0;
  int last = 1;
  for (const DriftPoint& p : points) {
    low = std::min(low, p.value - p.U);
    high = std::max(high, p.value + p.U);
    last = std::max(last, p.scan);
  }
  Frame frame;
  frame.y = ticks(low, high, 6);
  frame.x = ticks(0, last, 8);
  frame.left = number_width(frame.y, numbers) + 8;
  frame.right = width - 46;
  frame.top = 18;
  frame.bottom = height - 30;
  frame.x_title = x_title;
  frame.y_title = y_title;
  frame.draw(canvas, numbers);
  const Axis ax = frame.x_axis(), ay = frame.y_axis();
  std::map<std::string, const DriftPoint*> earlier;
  for (const DriftPoint& p : points) {
    const Point2 at{ax(p.scan), ay(p.value)};
    if (const auto it = earlier.find(p.repeats); !p.repeats.empty() && it != earlier.end()) {
      const DriftPoint& before = *it->second;
      canvas.line({ax(before.scan), ay(before.value)}, at, {Ink::second, 1.6, false});
      canvas.text({at[0] + 6, at[1] + 3},
                  (p.value >= before.value ? "+" : "") + numbers.number(p.value - before.value, 1),
                  {kAxisText, Ink::text, Anchor::start, true});
    }
    earlier[p.repeats] = &p;
    canvas.begin({p.key, p.title});
    canvas.line({at[0], ay(p.value - p.U)}, {at[0], ay(p.value + p.U)}, {Ink::mark, 1, false});
    canvas.circle(at, 3, {Ink::mark}, {});
    canvas.end();
  }
}

}  // namespace rigproof
