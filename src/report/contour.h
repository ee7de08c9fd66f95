#pragma once

#include <vector>

#include "report/canvas.h"

namespace rigproof {

/// A grid averaged over neighbours with weights 1-4-6-4-1 in each direction; cells without data
/// (NaN) give nothing and stay without data.
std::vector<float> smoothed(const std::vector<float>& grid, int columns, int rows);

/// Line of equal value between cell centres (marching squares, linear interpolation). Squares that
/// touch a cell without data are left out. `corner` of the grid and size of a cell in drawing
/// units.
Shape contours(const std::vector<float>& grid,
               int columns,
               int rows,
               double level,
               Point2 corner,
               Point2 cell);

}  // namespace rigproof
