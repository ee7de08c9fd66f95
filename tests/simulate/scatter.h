#pragma once

#include <cmath>
#include <map>
#include <string>

#include <Eigen/Eigenvalues>

#include "simulate/assessed.h"

namespace rigproof {

/// (measured − expected) of simulated values of one kind against the u_fit that they came with.
struct Scatter {
  int n = 0;
  double sum = 0, squares = 0, predicted = 0, chi2 = 0;

  void add(double d, double u_fit) {
    ++n;
    sum += d;
    squares += d * d;
    predicted += u_fit * u_fit;
    chi2 += d * d / (u_fit * u_fit);
  }
  Scatter& operator+=(const Scatter& o) {
    n += o.n;
    sum += o.sum, squares += o.squares, predicted += o.predicted, chi2 += o.chi2;
    return *this;
  }
  double mean() const { return sum / n; }
  double scatter() const { return std::sqrt(squares / n); }
  double u_fit() const { return std::sqrt(predicted / n); }
  double ratio() const { return std::sqrt(chi2 / n); }  ///< 1 where u_fit is right
};

using Scatters = std::map<std::string, Scatter>;

/// One session more: its values by characteristic, and its centres as "center": each ball's three
/// coordinates along the axes of its covariance, where they are independent.
inline void add_scatter(const Scenario& scenario, Scatters& to) {
  const Assessed a = assessed(scenario,
                              "scatter_" + scenario.rig.id + "_" + std::to_string(scenario.seed) +
                                  "_" + std::to_string(static_cast<long>(scenario.points)));
  for_values(a, [&](const TrueValue& t, const TestValue& v) {
    to[t.id].add(v.value - t.expected, v.u_fit);
  });
  for_features(a, [&](const TrueFeature& t, const FeatureRecord& f) {
    if (!f.sphere) return;
    const Eigen::SelfAdjointEigenSolver<Mat3> axes(Mat3(f.cov.topLeftCorner(3, 3)));
    const Vec3 d = axes.eigenvectors().transpose() * (f.center - t.expected_center);
    for (int i = 0; i < 3; ++i) to["center"].add(d[i], std::sqrt(axes.eigenvalues()[i]));
  });
}

/// Quantile of χ²(n) by Wilson and Hilferty, Proc. Natl. Acad. Sci. 17 (1931) 684; z of the normal
/// distribution. Better than 1e-3 for n > 30.
inline double chi2_quantile(double n, double z) {
  const double a = 2 / (9 * n);
  return n * std::pow(1 - a + z * std::sqrt(a), 3);
}

}  // namespace rigproof
