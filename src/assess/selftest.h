#pragma once

#include <string>
#include <vector>

namespace rigproof {

/// One built-in check of the code that computes verdicts against an answer from outside.
struct SelfCheck {
  std::string name, source;
  double expected = 0, got = 0, tolerance = 0;
  bool passed() const;
};

/// Fits, minimum zones, decisions, budgets and temperature with known answers, through the code
/// that assess() uses; a few milliseconds.
std::vector<SelfCheck> run_selftest();

}  // namespace rigproof
