#pragma once

#include <vector>

#include "assess/results.h"
#include "report/canvas.h"
#include "report/quantity.h"

namespace rigproof {

/// Mean deviations of cells of a ball's cap (Lambert's azimuthal equal-area projection about the
/// direction to the rig, up is up, left is left as seen from behind the rig) or of a plate in plan.
struct DeviationField {
  bool round = true;
  int columns = 0, rows = 0;
  double half_width = 1, half_height = 1;  ///< extent in map units (mm for plates)
  std::vector<float> mean;                 ///< mm; NaN: no points. Row by row from the top left
};

DeviationField deviation_field(const FeatureRecord& feature);

/// One colour scale for all maps of a characteristic: ± full_mm. Form and flatness limits T are
/// ranges, so that T/2 to each side is the full scale; without a limit the largest cell, rounded
/// up.
double map_scale(double limit_mm, const std::vector<DeviationField>& fields);

/// Draws into a box of this width and height. Contours of the smoothed field at 0, ± half and ±
/// full scale; cells beyond the scale are hatched, cells without data grey.
void draw(Canvas& canvas, const DeviationField& field, double full_mm, double width, double height);

/// The colour key of all maps of one scale.
void draw_map_key(Canvas& canvas,
                  double full_mm,
                  double width,
                  const NumberStyle& numbers,
                  const std::string& no_data,
                  const std::string& beyond);

}  // namespace rigproof
