#include "evidence/quantile.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace rigproof {
namespace {

double at(std::vector<double>& values, std::size_t rank) {
  const auto place = values.begin() + static_cast<std::ptrdiff_t>(rank);
  std::nth_element(values.begin(), place, values.end());
  return *place;
}

}  // namespace

double median(std::vector<double> values) {
  return values.empty() ? 0 : at(values, values.size() / 2);
}

double robust_sd(std::vector<double> values) {
  if (values.empty()) return 0;
  for (double& v : values) v = std::abs(v);
  return at(values, static_cast<std::size_t>(0.6827 * static_cast<double>(values.size() - 1)));
}

}  // namespace rigproof
