#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "app/console.h"
#include "assess/results.h"

namespace rigproof {

/// Adds an assessed session to the history; says so, or why not, and never throws: a store that
/// fails does not fail the evaluation.
void log_to_history(const Results& results, const Console& console) noexcept;

}  // namespace rigproof
