#pragma once

#include <vector>

namespace rigproof {

/// The middle value, of an even number the upper one of the two. 0 for none.
double median(std::vector<double> values);

/// Half of the middle 68.27 %: the standard deviation of a normal distribution, whatever its tails.
/// `values` are taken as deviations from 0. 0 for none.
double robust_sd(std::vector<double> values);

}  // namespace rigproof
