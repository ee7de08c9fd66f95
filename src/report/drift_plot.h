#pragma once

#include <string>
#include <vector>

#include "report/axis.h"

namespace rigproof {

struct DriftPoint {
  int scan = 0;  ///< number in the session
  double value = 0, U = 0;
  std::string key, title;
  std::string repeats;  ///< points of equal, non-empty text are repeats of one position
};

/// Signed values in the order of the scans; repeats of one position are joined and their difference
/// is written at the later one.
void draw_drift(Canvas& canvas,
                const std::vector<DriftPoint>& points,
                double width,
                double height,
                const std::string& x_title,
                const std::string& y_title,
                const NumberStyle& numbers);

}  // namespace rigproof
