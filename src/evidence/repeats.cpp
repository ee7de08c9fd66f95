#include "evidence/repeats.h"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>

#include "scan/sampling.h"

namespace rigproof {
namespace {

constexpr std::size_t kLookedAt = 50000;
constexpr std::size_t kValues = 4000;        // of an axis
constexpr double kFloat = 1.2e-7;            // spacing of neighbouring floats over their size
constexpr double kNear = 40;                 // gaps up to so many steps are compared
constexpr double kOff = 0.1, kAgree = 0.98;  // of a step; share of the gaps
constexpr int kLeastGaps = 100;

std::uint64_t key(const Points& p, std::size_t i) {
  // + 0.0: zero has one bit pattern then.
  return mix(mix(mix(std::bit_cast<std::uint64_t>(p.x[i] + 0.0)) ^
                 std::bit_cast<std::uint64_t>(p.y[i] + 0.0)) ^
             std::bit_cast<std::uint64_t>(p.z[i] + 0.0));
}

}  // namespace

double common_step(std::vector<double> values, double exactness) {
  std::ranges::sort(values);
  std::vector<double> gaps;
  for (std::size_t i = 1; i < values.size(); ++i)
    if (const double gap = values[i] - values[i - 1]; gap > 4 * exactness) gaps.push_back(gap);
  if (static_cast<int>(gaps.size()) < kLeastGaps) return 0;
  const double step = *std::ranges::min_element(gaps);
  if (step < 20 * exactness) return 0;
  int near = 0, agree = 0;
  double sum = 0, steps = 0;
  for (const double gap : gaps) {
    const double multiple = gap / step;
    if (multiple > kNear) continue;
    ++near;
    if (std::abs(multiple - std::round(multiple)) > kOff * std::max(1.0, multiple / 10)) continue;
    ++agree;
    sum += gap;
    steps += std::round(multiple);
  }
  return near >= kLeastGaps && agree >= kAgree * near ? sum / steps : 0;
}

Repeats repeats(const Points& p) {
  Repeats out;
  const std::size_t n = p.size();
  const std::uint64_t every = n / kLookedAt + 1;
  std::vector<std::array<double, 3>> chosen;
  for (std::size_t i = 0; i < n; ++i)
    if (every == 1 || key(p, i) % every == 0) chosen.push_back({p.x[i], p.y[i], p.z[i]});
  out.looked_at = chosen.size();
  std::ranges::sort(chosen);
  for (std::size_t i = 1; i < chosen.size(); ++i) out.duplicates += chosen[i] == chosen[i - 1];

  for (const auto* axis : {&p.x, &p.y, &p.z}) {
    std::vector<double> values;
    const std::size_t used = std::min(n, kValues);
    const int a = axis == &p.x ? 0 : axis == &p.y ? 1 : 2;
    double most = 0;
    for (std::size_t k = 0; k < used; ++k) {
      values.push_back((*axis)[k * n / used]);
      most = std::max(most, std::abs(values.back() + p.origin[a]));
    }
    out.step = std::max(out.step, common_step(std::move(values), kFloat * most));
  }
  return out;
}

}  // namespace rigproof
