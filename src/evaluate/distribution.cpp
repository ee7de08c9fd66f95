#include "evaluate/distribution.h"

#include <cmath>

#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>

namespace rigproof {
namespace {

// Plain double everywhere: the same bits on machines with and without long double.
using Policy = boost::math::policies::policy<boost::math::policies::promote_double<false>>;
using Normal = boost::math::normal_distribution<double, Policy>;
using StudentT = boost::math::students_t_distribution<double, Policy>;

constexpr double kTwoSigma = 0.95449973610364158;

}  // namespace

double normal_density(double x) { return boost::math::pdf(Normal(), x); }

double normal_cdf(double x) { return 0.5 * std::erfc(-x / std::sqrt(2.0)); }

double normal_quantile(double p) { return boost::math::quantile(Normal(), p); }

double error_cdf(double x, std::optional<double> dof) {
  if (!dof) return normal_cdf(x);
  if (std::isinf(x)) return x > 0 ? 1 : 0;
  return boost::math::cdf(StudentT(*dof), x);
}

double coverage_factor(double p, std::optional<double> dof) {
  if (p == 0.9545) {
    if (!dof) return 2;
    p = kTwoSigma;
  }
  const double upper = 0.5 * (1 + p);
  return dof ? boost::math::quantile(StudentT(*dof), upper) : normal_quantile(upper);
}

}  // namespace rigproof
