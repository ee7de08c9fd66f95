#pragma once

#include <vector>

#include "evaluate/monte_carlo.h"

namespace rigproof {

/// A value and the limit it is judged by. mm
struct LimitedValue {
  const TestValue* value = nullptr;
  double limit = 0;
};

/// Probability that every value is within its limit at once, by Monte Carlo with the shared terms
/// of the budgets; 1 for no values. Its standard error is at most 0.5/√trials.
double joint_probability(const std::vector<LimitedValue>& values,
                         const MonteCarloOptions& options = {50'000, 1, 0});

}  // namespace rigproof
