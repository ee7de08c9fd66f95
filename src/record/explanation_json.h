#pragma once

#include <string>

#include "assess/explanation.h"

namespace rigproof {

/// The same as the page of text: zone, fits, value, budget with formulas, decision, sources.
std::string explanation_json(const Explanation& explanation);

}  // namespace rigproof
