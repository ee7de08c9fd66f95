#pragma once

#include <string>
#include <vector>

#include "report/canvas.h"
#include "report/quantity.h"

namespace rigproof {

/// Ticks at 1-2-5 steps that cover [low, high] with at most `most` intervals; those of [0, 1] for a
/// range that is not finite or beyond all measuring.
struct Ticks {
  double step = 1;
  int decimals = 0;
  std::vector<double> at;
  double low() const { return at.front(); }
  double high() const { return at.back(); }
};
Ticks ticks(double low, double high, int most);

/// Linear map of values to drawing units.
struct Axis {
  double from = 0, to = 1;    ///< values
  double start = 0, end = 1;  ///< drawing units
  double operator()(double v) const { return start + (v - from) / (to - from) * (end - start); }
};

/// A plotting frame: grid lines with numbers along y, ticks with numbers along x, axis titles.
struct Frame {
  double left = 0, top = 0, right = 0, bottom = 0;
  Ticks x, y;
  std::string x_title, y_title;  ///< with unit
  Axis x_axis() const { return {x.low(), x.high(), left, right}; }
  Axis y_axis() const { return {y.low(), y.high(), bottom, top}; }
  void draw(Canvas& canvas, const NumberStyle& numbers, bool y_numbers = true) const;
};

/// Width that the numbers of a y axis take at the frame's text size.
double number_width(const Ticks& ticks, const NumberStyle& numbers);
inline constexpr double kAxisText = 9;

}  // namespace rigproof
