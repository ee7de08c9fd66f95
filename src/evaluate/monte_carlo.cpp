#include "evaluate/monte_carlo.h"

#include <algorithm>
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

MonteCarloResult monte_carlo(const TestValue& value,
                             const MonteCarloOptions& options,
                             double coverage) {
  const std::size_t block_size = ErrorModel::kTrialBlock;
  std::vector<std::vector<double>> parts((options.trials + block_size - 1) / block_size);
  ErrorModel({&value}).run(options, [&](std::size_t block, const std::vector<double>& errors) {
    parts[block].push_back(errors[0]);
  });
  std::vector<double> all;
  all.reserve(options.trials);
  for (const auto& part : parts) all.insert(all.end(), part.begin(), part.end());
  return summarize(std::move(all), coverage);
}

}  // namespace rigproof
