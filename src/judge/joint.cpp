#include "judge/joint.h"

#include <cmath>
#include <numeric>

namespace rigproof {

double joint_probability(const std::vector<LimitedValue>& values,
                         const MonteCarloOptions& options) {
  if (values.empty() || options.trials == 0) return 1;
  std::vector<const TestValue*> tested;
  for (const LimitedValue& v : values) tested.push_back(v.value);
  const std::size_t block_size = ErrorModel::kTrialBlock;
  std::vector<std::size_t> within((options.trials + block_size - 1) / block_size, 0);
  ErrorModel(tested).run(options, [&](std::size_t block, const std::vector<double>& errors) {
    for (std::size_t i = 0; i < values.size(); ++i) {
      const double e = values[i].value->value + errors[i];
      const bool inside =
          values[i].value->signed_value ? std::abs(e) <= values[i].limit : e <= values[i].limit;
      if (!inside) return;
    }
    ++within[block];
  });
  const auto sum = std::accumulate(within.begin(), within.end(), std::size_t{0});
  return static_cast<double>(sum) / static_cast<double>(options.trials);
}

}  // namespace rigproof
