#include "evaluate/monte_carlo.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "base/error.h"
#include "base/threads.h"
#include "evaluate/random.h"

namespace rigproof {
namespace {

constexpr std::size_t kAlone = static_cast<std::size_t>(-1);

}  // namespace

ErrorModel::ErrorModel(const std::vector<const TestValue*>& values) {
  for (const TestValue* value : values) {
    Row row;
    for (const BudgetLine& line : value->budget) add_line(row, line);
    row.alone = std::sqrt(row.alone);
    rows_.push_back(row);
  }
}

std::size_t ErrorModel::factor(const std::string& key, const Factor& as) {
  const auto it = std::ranges::find(keys_, key);
  if (!key.empty() && it != keys_.end()) return static_cast<std::size_t>(it - keys_.begin());
  keys_.push_back(key);
  factors_.push_back(as);
  return factors_.size() - 1;
}

void ErrorModel::add_line(Row& row, const BudgetLine& line) {
  const Factor as{line.shape, line.dof.value_or(0)};
  // A shared quantity without effect here still has its shape where a product takes it up.
  if (!(line.u > 0)) {
    if (!line.shared.empty() && line.shared.find('*') == std::string::npos) factor(line.shared, as);
    return;
  }
  if (line.shared.empty() && line.shape == LineShape::normal && !line.dof) {
    row.alone += line.u * line.u;
    return;
  }
  const std::size_t star = line.shared.find('*');
  if (star == std::string::npos) {
    row.terms.push_back({factor(line.shared, as), kAlone, line.sensitivity * line.u});
  } else {
    const std::size_t a = factor(line.shared.substr(0, star), Factor());
    row.terms.push_back(
        {a, factor(line.shared.substr(star + 1), Factor()), line.sensitivity * line.u});
  }
}

void ErrorModel::run(
    const MonteCarloOptions& options,
    const std::function<void(std::size_t, const std::vector<double>&)>& visit) const {
  const std::size_t blocks = (options.trials + kTrialBlock - 1) / kTrialBlock;
  parallel_blocks(blocks, options.threads, [&](std::size_t block, int) {
    Random random(options.seed, block);
    std::vector<double> drawn(factors_.size()), errors(rows_.size());
    const std::size_t end = std::min(options.trials, (block + 1) * kTrialBlock);
    for (std::size_t trial = block * kTrialBlock; trial < end; ++trial) {
      for (std::size_t f = 0; f < factors_.size(); ++f)
        drawn[f] = factors_[f].dof > 0 ? random.student_t(factors_[f].dof)
                   : factors_[f].shape == LineShape::rectangular
                       ? std::numbers::sqrt3 * (2 * random.uniform() - 1)
                       : random.normal();
      for (std::size_t r = 0; r < rows_.size(); ++r) {
        double e = rows_[r].alone > 0 ? rows_[r].alone * random.normal() : 0;
        for (const Term& t : rows_[r].terms)
          e += t.coefficient * drawn[t.factor] * (t.times == kAlone ? 1 : drawn[t.times]);
        errors[r] = e;
      }
      visit(block, errors);
    }
  });
}

MonteCarloResult summarize(std::vector<double> outputs, double coverage) {
  if (outputs.empty())
    throw Error(ErrorKind::internal, "a Monte Carlo run without trials", "Ask for some trials.");
  std::ranges::sort(outputs);
  const auto n = static_cast<double>(outputs.size());
  MonteCarloResult result;
  for (const double y : outputs) result.mean += y;
  result.mean /= n;
  for (const double y : outputs) result.u += (y - result.mean) * (y - result.mean);
  result.u = std::sqrt(result.u / std::max(1.0, n - 1));
  const auto at = [&](double share) {
    const double k = share * n;
    return outputs[std::min(outputs.size() - 1, static_cast<std::size_t>(std::max(0.0, k)))];
  };
  result.low = at(0.5 * (1 - coverage));
  result.high = at(0.5 * (1 + coverage));
  return result;
}

namespace {

std::vector<double> errors_of(const TestValue& value, const MonteCarloOptions& options) {
  const std::size_t block_size = ErrorModel::kTrialBlock;
  std::vector<std::vector<double>> parts((options.trials + block_size - 1) / block_size);
  ErrorModel({&value}).run(options, [&](std::size_t block, const std::vector<double>& errors) {
    parts[block].push_back(errors[0]);
  });
  std::vector<double> all;
  all.reserve(options.trials);
  for (const auto& part : parts) all.insert(all.end(), part.begin(), part.end());
  return all;
}

// δ = ½·10^l where u = c·10^l with two digits of c (JCGM 101, 7.9.2); with finite ν the standard
// uncertainty of U itself, U/√(2ν) (JCGM 100, E.4.3), where that is more.
double tolerance_of(const TestValue& value) {
  if (!(value.u > 0)) return 0;
  const double digits = 0.5 * std::pow(10.0, std::floor(std::log10(value.u)) - 1);
  return std::max(digits, value.dof ? value.U / std::sqrt(2 * *value.dof) : 0);
}

// Standard error of the mean of one quantity over the sequences.
class Spread {
 public:
  void add(double x) {
    ++n_;
    const double d = x - mean_;
    mean_ += d / n_;
    square_ += d * (x - mean_);
  }
  double error() const { return n_ < 2 ? INFINITY : std::sqrt(square_ / (n_ - 1) / n_); }

 private:
  double n_ = 0, mean_ = 0, square_ = 0;
};

}  // namespace

MonteCarloResult monte_carlo(const TestValue& value,
                             const MonteCarloOptions& options,
                             double coverage) {
  return summarize(errors_of(value, options), coverage);
}

MonteCarloCheck check_by_monte_carlo(const TestValue& value, double limit, int most, int threads) {
  constexpr std::size_t kSequence = 10'000;
  constexpr double kCoverage = 0.954499736;
  constexpr int kFewest = 10;
  MonteCarloCheck check;
  check.tolerance = tolerance_of(value);
  std::vector<double> all;
  std::array<Spread, 4> spreads;
  for (int h = 1; h <= most && !check.stable; ++h) {
    std::vector<double> part =
        errors_of(value, {kSequence, static_cast<std::uint64_t>(h), threads});
    all.insert(all.end(), part.begin(), part.end());
    const MonteCarloResult r = summarize(std::move(part), kCoverage);
    double worst = 0;
    for (std::size_t k = 0; const double x : {r.mean, r.u, r.low, r.high}) {
      spreads[k].add(x);
      worst = std::max(worst, spreads[k++].error());
    }
    check.stable = h >= kFewest && 2 * worst < check.tolerance / 5;
  }
  check.trials = all.size();
  if (limit > 0) {
    const auto inside = std::ranges::count_if(all, [&](double error) {
      const double e = value.value + error;
      return (value.signed_value ? std::abs(e) : e) <= limit;
    });
    check.p_within = static_cast<double>(inside) / static_cast<double>(all.size());
  }
  check.result = summarize(std::move(all), kCoverage);
  check.d_low = std::abs(check.result.low + value.U);
  check.d_high = std::abs(check.result.high - value.U);
  check.agrees = check.d_low <= check.tolerance && check.d_high <= check.tolerance;
  return check;
}

}  // namespace rigproof
