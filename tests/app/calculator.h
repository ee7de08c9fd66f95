#pragma once

#include <string>

namespace rigproof {

/// What a pocket calculator makes of + - * / ^ ( ) sqrt() abs() and numbers. Throws
/// std::runtime_error on anything else.
double calculate(const std::string& expression);

/// Distribution functions by Simpson's rule on their densities, and the two-sided quantile by
/// bisection: nothing of the program. `dof` 0: normal.
double distribution(double x, double dof);
double two_sided_quantile(double coverage, double dof);

}  // namespace rigproof
