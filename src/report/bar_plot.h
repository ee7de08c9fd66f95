#pragma once

#include <string>
#include <vector>

#include "assess/results.h"
#include "report/canvas.h"
#include "report/quantity.h"

namespace rigproof {

struct BarRow {
  std::string label;
  double size = 0;  ///< shown unit, ≥ 0
  std::string number;
};

/// Horizontal bars from zero, longest first, each with its number.
void draw_bars(Canvas& canvas, const std::vector<BarRow>& rows, double width);
double bars_height(std::size_t rows);

/// The small bar of a certificate row: |value| on a scale from 0 to 1.25 limits, the limit, the
/// guard band below it and the whisker of U.
struct LimitBar {
  double value = 0, U = 0, limit = 0, guard = 0;  ///< mm
  Verdict verdict = Verdict::invalid;
};
void draw_limit_bar(
    Canvas& canvas, Point2 corner, double width, double height, const LimitBar& bar);

}  // namespace rigproof
