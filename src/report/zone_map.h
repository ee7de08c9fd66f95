#pragma once

#include "report/canvas.h"
#include "report/context.h"

namespace rigproof {

/// The 27 zones as three squares of 3×3 (near, mid, far; left as seen from behind the rig): the
/// largest share of a limit as number and tone, and how many observations stand behind it.
void draw_zone_map(Canvas& canvas, const ReportContext& context, double width);
double zone_map_height(double width);

}  // namespace rigproof
