#pragma once

#include <string>
#include <vector>

#include "assess/results.h"
#include "report/axis.h"

namespace rigproof {

/// One value with its whisker, in the units that the plot shows.
struct PlotValue {
  std::string key, title, label;
  double x = 0, y = 0, U = 0;
  double limit = 0;  ///< at this value's length; 0: none
  Verdict verdict = Verdict::invalid;
};

/// Values against a position coordinate or a length: limit band, whiskers of U, one glyph a verdict
/// (dot within, ring too close, cross outside, diamond not judged).
struct ValuePlot {
  std::vector<PlotValue> values;
  std::string x_title, y_title;
  bool signed_values = true;
  bool label_worst = true;  ///< the value of largest |y|/limit is labelled directly
  Ticks y;                  ///< shared by small multiples; see value_ticks
};

/// One y scale for all plots of a characteristic: zero, every whisker and the limits.
Ticks value_ticks(const std::vector<PlotValue>& values, bool signed_values);

void draw(
    Canvas& canvas, const ValuePlot& plot, double width, double height, const NumberStyle& numbers);

/// The glyph of a verdict about `at`.
void draw_glyph(Canvas& canvas, Point2 at, Verdict verdict, double size = 3);

}  // namespace rigproof
