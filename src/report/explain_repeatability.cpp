// u_fit with its numbers: what gates, diagnosis and plans take, and no decision.

#include <cmath>

#include <fmt/format.h>

#include "base/number.h"
#include "evaluate/ufit.h"
#include "report/explain_page.h"

namespace rigproof {
namespace {

std::string bracketed_number(double value) {
  return value < 0 ? "(" + number(value) + ")" : number(value);
}

// tᵀCt of a ball's centre.
double along_pair(ExplainPage& page,
                  const std::string& name,
                  const Vec3& t,
                  const Eigen::MatrixXd& cov) {
  std::string sum;
  for (int i = 0; i < 3; ++i)
    for (int j = i; j < 3; ++j)
      sum += std::string(sum.empty() ? "" : "+") + (i == j ? "" : "2*") + bracketed_number(t[i]) +
             "*" + bracketed_number(t[j]) + "*" + bracketed_number(cov(i, j));
  const double variance = t.dot(cov.topLeftCorner<3, 3>() * t);
  page.equation(name, sum, number(variance), "mm^2");
  return variance;
}

// √2 times the standard error of one end: an extreme, or the quantile that the allowance makes it.
void of_range(ExplainPage& page, const TestValue& v) {
  const RangeEnd end = range_end(v.noise_area, v.points, v.left_out);
  const std::string sd = number(v.noise_sd), n_eff = number(end.effective);
  page.line(fmt::format("s = {} mm, the scatter of the points; {} of them share their error (A)",
                        sd,
                        number(v.noise_area)));
  page.equation("n_eff", std::to_string(v.points) + "/" + number(v.noise_area), n_eff, "");
  const std::string log = number(std::log(end.effective));
  page.line("one end: pi/sqrt(6)/sqrt(2*ln(n_eff)), ln(n_eff) = " + log);
  page.equation("end1", number(M_PI) + "/sqrt(6)/sqrt(2*" + log + ")", number(end.extreme), "");
  if (end.q > 0) {
    const std::string q = number(end.q), density = number(end.density);
    page.equation("q", std::to_string(v.left_out) + "/2/" + std::to_string(v.points), q, "");
    page.line("or sqrt(q*(1-q)/n_eff)/phi, the normal density at its quantile q: phi = " + density);
    page.equation(
        "end2", "sqrt(" + q + "*(1-" + q + ")/" + n_eff + ")/" + density, number(end.quantile), "");
  }
  page.equation("u_fit", "sqrt(2)*" + sd + "*" + number(end.error()), number(v.u_fit), "mm");
}

}  // namespace

void explain_repeatability(ExplainPage& page, const Explanation& e) {
  const TestValue& v = e.value();
  page.line(fmt::format(
      "u_fit = {} um, predicted repeatability of the value: never in the decision", um(v.u_fit)));
  const bool fixed =
      v.id == "sphere_spacing" && e.results->session.procedure.center_radius == RadiusRule::fixed;
  if (e.features.size() == 2 && !fixed) {
    const Vec3& t = v.direction;
    const FeatureRecord &a = *e.features[0], &b = *e.features[1];
    if (a.cov.rows() != 4 || b.cov.rows() != 4) return;
    page.line("along the bar, from the covariances of the two centres:");
    const double first = along_pair(page, "var1", t, a.cov),
                 second = along_pair(page, "var2", t, b.cov);
    page.equation(
        "u_fit", "sqrt(" + number(first) + "+" + number(second) + ")", number(v.u_fit), "mm");
  } else if (e.features.size() == 1 && v.signed_value && e.features[0]->cov.rows() == 4) {
    page.equation(
        "u_fit", "2*sqrt(" + number(e.features[0]->cov(3, 3)) + ")", number(v.u_fit), "mm");
  } else if (v.noise_sd > 0) {
    of_range(page, v);
  }
}

}  // namespace rigproof
