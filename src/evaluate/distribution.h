#pragma once

#include <optional>

namespace rigproof {

double normal_density(double x);
double normal_cdf(double x);
double normal_quantile(double p);
/// Student t for finite dof > 0, normal for none.
double error_cdf(double x, std::optional<double> dof);
/// Coverage factor of a two-sided interval: t quantile at (1+p)/2; p 0.9545 means 0.954499736, so
/// that k is exactly 2 for infinite degrees of freedom (JCGM 100:2008, table G.2).
double coverage_factor(double p, std::optional<double> dof);

}  // namespace rigproof
