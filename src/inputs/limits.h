#pragma once

#include <map>
#include <optional>
#include <string>

#include "inputs/artefact.h"

namespace rigproof {

/// A + L/K, or a constant (K = 0). mm
struct Limit {
  double A_mm = 0;
  double K = 0;
  double at(double length_mm) const { return A_mm + (K > 0 ? length_mm / K : 0); }
};

enum class DecisionRule { simple, proven, guarded };
std::string to_string(DecisionRule rule);

/// Agreed beforehand. Only what is named is judged.
struct Limits {
  std::string name;  ///< file stem
  std::string set_by;
  std::optional<Date> date;
  DecisionRule rule = DecisionRule::proven;
  double guard_mm = 0;  ///< w of `guarded`
  std::string role;     ///< who carries the burden of proof
  std::map<std::string, Limit> by_characteristic;
};

}  // namespace rigproof
