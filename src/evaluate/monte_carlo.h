#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "evaluate/test_value.h"

namespace rigproof {

struct MonteCarloOptions {
  std::size_t trials = 200'000;
  std::uint64_t seed = 1;
  int threads = 0;  ///< 0: one a core. Never changes a bit of the result
};

/// Propagation of distributions (JCGM 101:2008) for values that share terms. Every line of the
/// budgets is a quantity of standard deviation u with its shape, a line with finite dof a scaled
/// and shifted t (JCGM 101, 6.4.9); equal `shared` keys are one quantity, "a*b" is the product of
/// two of them.
class ErrorModel {
 public:
  explicit ErrorModel(const std::vector<const TestValue*>& values);
  std::size_t size() const { return rows_.size(); }

  /// visit(block, errors): one draw of the errors of all values, in mm, once a trial. Trials come
  /// in blocks of kTrialBlock, each with its own stream of random numbers, so that the draws of a
  /// block do not depend on the threads; visits of different blocks may run at once.
  static constexpr std::size_t kTrialBlock = 2048;
  void run(
      const MonteCarloOptions& options,
      const std::function<void(std::size_t block, const std::vector<double>& errors)>& visit) const;

 private:
  struct Factor {
    LineShape shape = LineShape::normal;
    double dof = 0;  // 0: infinite
  };
  struct Term {
    std::size_t factor, times;  // times = kAlone: not a product
    double coefficient;
  };
  struct Row {
    std::vector<Term> terms;
    double alone = 0;  // unshared normal lines, as one
  };
  std::size_t factor(const std::string& key, const Factor& as);
  void add_line(Row& row, const BudgetLine& line);

  std::vector<std::string> keys_;
  std::vector<Factor> factors_;
  std::vector<Row> rows_;
};

/// Error of one value. Interval: probabilistically symmetric, 95.45 %.
struct MonteCarloResult {
  double mean = 0, u = 0;    ///< mm
  double low = 0, high = 0;  ///< mm
};
MonteCarloResult monte_carlo(const TestValue& value,
                             const MonteCarloOptions& options = {},
                             double coverage = 0.954499736);

/// Comparison of U = k·u with a Monte Carlo run of the same budget (JCGM 101:2008, 7.9 and 8).
struct MonteCarloCheck {
  MonteCarloResult result;  ///< of the error, about zero
  std::size_t trials = 0;
  bool stable = false;  ///< the run met its own tolerance before the most trials were reached
  /// δ of two significant digits of u, or U's own standard uncertainty U/√(2ν). mm
  double tolerance = 0;
  double d_low = 0, d_high = 0;  ///< |ends of the interval − (∓ U)|
  bool agrees = false;           ///< both within δ
  double p_within = 0;           ///< share of the trials with the value inside `limit`; 0 for none
};
/// Sequences of 10,000 trials, seeds 1, 2, …, until twice the standard error of mean, u and both
/// ends is below δ/5, at most `most` sequences. The same bits on every run. `limit` 0: none. mm
MonteCarloCheck check_by_monte_carlo(const TestValue& value,
                                     double limit,
                                     int most = 400,
                                     int threads = 0);

/// The same of any model: outputs of the trials in any order. Throws Error(internal) for none.
MonteCarloResult summarize(std::vector<double> outputs, double coverage);

}  // namespace rigproof
