#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

namespace rigproof {

/// Counts of |residual| over its robust standard deviation, in steps of 0.05 up to 6.
using TailHistogram = std::array<std::uint32_t, 120>;
inline constexpr double kTailStep = 0.05;

TailHistogram tail_histogram(const std::vector<double>& residuals);

/// Where deviations end too sharply for noise: in standard deviations, the place at which the next
/// half standard deviation holds less than 0.15 of what a normal distribution would leave there
/// beside the quarter before it. Scanners have heavier tails, never lighter ones. `area` points
/// carry one independent error; nullopt when twenty are not expected beyond.
std::optional<double> sharp_end(const TailHistogram& pooled, double area);

}  // namespace rigproof
