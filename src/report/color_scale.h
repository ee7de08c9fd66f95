#pragma once

#include "report/canvas.h"

namespace rigproof {

/// Signed scale: −1 violet-blue, 0 exactly the neutral, +1 amber; equal steps of lightness on both
/// sides in Oklab, so that equal magnitudes look equally strong and the sides differ for readers
/// who see few colours. Quantised to 2·kSignedSteps + 1 colours, the middle one about zero.
inline constexpr int kSignedSteps = 8;
Rgb signed_color(double share);
/// Magnitude 0 … 1: one hue, lightness falling evenly in Oklab.
Rgb magnitude_color(double share);
/// Black or white, whichever is read better on `ground` (WCAG 2.2 relative luminance).
bool needs_light_text(Rgb ground);

}  // namespace rigproof
