#pragma once

#include "assess/results.h"

namespace rigproof {

/// The invented session with `text` in every field that a person or a file can fill.
Results hostile_results(const std::string& text);

}  // namespace rigproof
