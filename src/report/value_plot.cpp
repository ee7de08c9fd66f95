#include "report/value_plot.h"

#include <algorithm>
#include <cmath>

#include "report/text_measure.h"

namespace rigproof {
namespace {

// Limits in order of x: a straight edge where they are equal, a slope where they grow with length.
std::vector<Point2> limit_edge(const ValuePlot& plot, const Frame& frame, double sign) {
  std::vector<Point2> at;
  for (const PlotValue& v : plot.values)
    if (v.limit > 0 && std::isfinite(v.x)) at.push_back({v.x, sign * v.limit});
  std::ranges::sort(at);
  if (at.empty()) return {};
  at.insert(at.begin(), {frame.x.low(), at.front()[1]});
  at.push_back({frame.x.high(), at.back()[1]});
  const Axis ax = frame.x_axis(), ay = frame.y_axis();
  std::vector<Point2> edge;
  for (const Point2& p : at) {
    const Point2 q{ax(p[0]), ay(p[1])};
    // Points in line with their neighbours only repeat the edge.
    const auto n = edge.size();
    if (n >= 2 && edge[n - 1][1] == q[1] && edge[n - 2][1] == q[1])
      edge[n - 1] = q;
    else
      edge.push_back(q);
  }
  return edge;
}

void draw_limits(Canvas& canvas, const ValuePlot& plot, const Frame& frame) {
  const std::vector<Point2> upper = limit_edge(plot, frame, 1);
  if (upper.empty()) return;
  std::vector<Point2> lower = limit_edge(plot, frame, -1);
  if (!plot.signed_values)
    lower = {{frame.left, frame.y_axis()(0)}, {frame.right, frame.y_axis()(0)}};
  Outline band{upper, true};
  band.points.insert(band.points.end(), lower.rbegin(), lower.rend());
  canvas.shape({band}, {Ink::band}, {});
  canvas.shape({{upper, false}}, {}, {Ink::limit, 1.2, true});
  if (plot.signed_values) canvas.shape({{lower, false}}, {}, {Ink::limit, 1.2, true});
}

void draw_value(Canvas& canvas, const PlotValue& v, const Frame& frame, bool labelled) {
  const Axis ay = frame.y_axis();
  const Point2 at{frame.x_axis()(v.x), ay(v.y)};
  canvas.begin({v.key, v.title});
  const Ink ink = v.verdict == Verdict::outside ? Ink::failed : Ink::mark;
  if (v.U > 0) {
    canvas.line({at[0], ay(v.y - v.U)}, {at[0], ay(v.y + v.U)}, {ink, 1, false});
    for (const double end : {v.y - v.U, v.y + v.U})
      canvas.line({at[0] - 2.5, ay(end)}, {at[0] + 2.5, ay(end)}, {ink, 1, false});
  }
  draw_glyph(canvas, at, v.verdict);
  if (labelled) {
    const bool left = at[0] > (frame.left + frame.right) / 2;
    canvas.text({at[0] + (left ? -6 : 6), at[1] + (v.y >= 0 ? -5 : 12)},
                v.label,
                {kAxisText, Ink::text, left ? Anchor::end : Anchor::start, true});
  }
  canvas.end();
}

int weakest(const std::vector<PlotValue>& values) {
  int worst = -1;
  double most = -1;
  for (std::size_t i = 0; i < values.size(); ++i) {
    const double size = std::abs(values[i].y) / (values[i].limit > 0 ? values[i].limit : 1);
    if (size > most) most = size, worst = static_cast<int>(i);
  }
  return worst;
}

}  // namespace

Ticks value_ticks(const std::vector<PlotValue>& values, bool signed_values) {
  double low = 0, high = 0;
  for (const PlotValue& v : values) {
    low = std::min({low, v.y - v.U, signed_values ? -v.limit : 0.0});
    high = std::max({high, v.y + v.U, v.limit});
  }
  if (!signed_values) low = 0;
  return ticks(low * 1.04, high * 1.04, 7);
}

void draw_glyph(Canvas& canvas, Point2 at, Verdict verdict, double s) {
  const auto [x, y] = at;
  switch (verdict) {
    case Verdict::within:
      canvas.circle(at, s, {Ink::mark}, {});
      break;
    case Verdict::undecided:
      canvas.circle(at, s + 0.6, {Ink::paper}, {Ink::mark, 1.6});
      break;
    case Verdict::outside:
      canvas.shape({{{{x - s, y - s}, {x + s, y + s}}}, {{{x - s, y + s}, {x + s, y - s}}}},
                   {},
                   {Ink::failed, 2.2});
      break;
    case Verdict::invalid:
      canvas.shape({{{{x - s, y}, {x, y - s}, {x + s, y}, {x, y + s}}, true}},
                   {Ink::paper},
                   {Ink::mark, 1.2});
      break;
  }
}

void draw(Canvas& canvas,
          const ValuePlot& plot,
          double width,
          double height,
          const NumberStyle& numbers) {
  Frame frame;
  frame.y = plot.y;
  frame.left = number_width(frame.y, numbers) + 8;
  frame.top = 18;
  frame.right = width - 8;
  frame.bottom = height - 30;
  double low = 1e300, high = -1e300;
  for (const PlotValue& v : plot.values) {
    low = std::min(low, v.x);
    high = std::max(high, v.x);
  }
  const double pad = std::max(high - low, 1.0) * 0.04;
  if (!plot.values.empty())
    frame.x = ticks(low - pad, high + pad, 6);
  else
    frame.x = ticks(0, 1, 6);
  frame.x_title = plot.x_title;
  frame.y_title = plot.y_title;
  draw_limits(canvas, plot, frame);
  frame.draw(canvas, numbers);
  const int worst = plot.label_worst ? weakest(plot.values) : -1;
  for (std::size_t i = 0; i < plot.values.size(); ++i)
    draw_value(canvas, plot.values[i], frame, static_cast<int>(i) == worst);
}

}  // namespace rigproof
