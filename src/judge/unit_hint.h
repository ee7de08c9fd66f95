#pragma once

#include <optional>
#include <string>

namespace rigproof {

/// A file unit that would explain a size that is off by a known factor.
struct UnitHint {
  double factor = 1;  ///< known factor near fitted/nominal: 1/25.4, 1/1000, 1/10 and inverses
  std::string unit;   ///< the --units word that would declare it, given the unit read so far
  std::string name;   ///< "inches"
  std::string words;  ///< "25.4 times too small"
};

/// fitted/nominal within 2 % (`within`) of 25.4, 1000, 10 or an inverse. `unit_mm` is the unit the
/// file was read in; a factor that leads to no unit in use gives no hint.
std::optional<UnitHint> unit_hint(double measured_mm,
                                  double nominal_mm,
                                  double unit_mm = 1,
                                  double within = 0.02);

}  // namespace rigproof
