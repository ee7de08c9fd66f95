#pragma once

#include <optional>

#include "evaluate/feature.h"

namespace rigproof {

/// A wave in the residuals of a plate. mm
struct Ripple {
  double period = 0;
  double height = 0;  ///< peak to valley
  double power = 0;   ///< over the median about it in the spectrum
};

/// The strongest wave of 4 to 40 periods across a plate, once level, tilt and bow are taken out;
/// nullopt unless it stands 20 times above the spectrum about it, which noise does once in 10⁵
/// plates (the power of noise is distributed exponentially).
std::optional<Ripple> find_ripple(const PlateFeature& plate);

}  // namespace rigproof
