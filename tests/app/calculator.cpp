#include "app/calculator.h"

#include <cmath>
#include <cstdlib>
#include <numbers>
#include <stdexcept>

namespace rigproof {
namespace {

class Parser {
 public:
  explicit Parser(const std::string& text) : at_(text.c_str()) {}

  double all() {
    const double x = sum();
    if (*at_ != 0) throw std::runtime_error(std::string("not an expression: ") + at_);
    return x;
  }

 private:
  bool take(const char* word) {
    const std::string w(word);
    if (std::string_view(at_).substr(0, w.size()) != w) return false;
    at_ += w.size();
    return true;
  }
  double sum() {
    double x = product();
    while (true) {
      if (take("+"))
        x += product();
      else if (take("-"))
        x -= product();
      else
        return x;
    }
  }
  double product() {
    double x = power();
    while (true) {
      if (take("*"))
        x *= power();
      else if (take("/"))
        x /= power();
      else
        return x;
    }
  }
  double power() {
    if (take("-")) return -power();
    const double x = atom();
    return take("^") ? std::pow(x, power()) : x;
  }
  double atom() {
    if (take("sqrt(")) return std::sqrt(closed());
    if (take("abs(")) return std::abs(closed());
    if (take("(")) return closed();
    char* end = nullptr;
    const double x = std::strtod(at_, &end);
    if (end == at_) throw std::runtime_error(std::string("not a number: ") + at_);
    at_ = end;
    return x;
  }
  double closed() {
    const double x = sum();
    if (!take(")")) throw std::runtime_error(std::string("no bracket: ") + at_);
    return x;
  }
  const char* at_;
};

double density(double x, double dof) {
  if (dof == 0) return std::exp(-x * x / 2) / std::sqrt(2 * std::numbers::pi);
  return std::exp(std::lgamma((dof + 1) / 2) - std::lgamma(dof / 2)) /
         std::sqrt(dof * std::numbers::pi) * std::pow(1 + x * x / dof, -(dof + 1) / 2);
}

}  // namespace

double calculate(const std::string& expression) { return Parser(expression).all(); }

double distribution(double x, double dof) {
  const double reach = std::min(std::abs(x), 60.0);
  const int n = 20000;
  const double h = reach / n;
  double area = density(0, dof) + density(reach, dof);
  for (int i = 1; i < n; ++i) area += (i % 2 ? 4 : 2) * density(i * h, dof);
  area *= h / 3;
  return x < 0 ? 0.5 - area : 0.5 + area;
}

double two_sided_quantile(double coverage, double dof) {
  double lo = 0, hi = 50;
  for (int i = 0; i < 60; ++i) {
    const double mid = 0.5 * (lo + hi);
    (distribution(mid, dof) < 0.5 * (1 + coverage) ? lo : hi) = mid;
  }
  return 0.5 * (lo + hi);
}

}  // namespace rigproof
