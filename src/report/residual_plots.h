#pragma once

#include <string>

#include "assess/results.h"
#include "report/axis.h"

namespace rigproof {

struct PlotTitles {
  std::string x, y;
};

/// Share of points per bin of deviation, with the normal curve of the same mean and standard
/// deviation. `half_mm`: the axis runs from −half to +half, the same on all positions.
void draw_histogram(Canvas& canvas,
                    const FeatureRecord& feature,
                    double half_mm,
                    double width,
                    double height,
                    const PlotTitles& titles,
                    const NumberStyle& numbers);

/// Deviation against the angle between the surface normal and the direction to the rig: median,
/// middle half and middle 90 % of eight bins of equal width.
void draw_incidence(Canvas& canvas,
                    const FeatureRecord& feature,
                    double half_mm,
                    double width,
                    double height,
                    const PlotTitles& titles,
                    const NumberStyle& numbers);

/// Half width of the axis that holds 99 % of the deviations of all features, at a 1-2-5 step.
double residual_range(const std::vector<const FeatureRecord*>& features);

}  // namespace rigproof
