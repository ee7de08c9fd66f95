#include <algorithm>
#include <cmath>
#include <map>

#include "base/number.h"
#include "judge/evidence_gates.h"

namespace rigproof {
namespace {

constexpr double kTimesU = 3;         // of the mean; four must be found
constexpr double kOfLimit = 0.1;      // less does not matter
constexpr double kLengthShare = 0.5;  // lengths are right when they are off by less than this part
constexpr double kAlike = 0.9;        // of the diameters are off the same way
constexpr std::size_t kLeast = 4;

}  // namespace

std::optional<Finding> surface_bias_finding(const std::vector<const TestValue*>& values,
                                            const Limits& limits) {
  double sum = 0, scatter = 0, length_error = 0;
  std::size_t n = 0, lengths = 0;
  std::map<std::pair<std::string, std::string>, double> u_of_ball;  // certificates are independent
  for (const TestValue* v : values) {
    if (v->id == "sphere_spacing") {
      length_error = std::max(length_error, std::abs(v->value));
      ++lengths;
    }
    if (v->id != "probing_size") continue;
    sum += v->value;
    scatter += v->u_fit * v->u_fit;
    u_of_ball[{v->artefact, v->ball}] = v->u;
    ++n;
  }
  if (n < kLeast || lengths == 0) return std::nullopt;
  const double count = static_cast<double>(n), mean = sum / count;
  double certified = 0;
  for (const auto& [ball, u] : u_of_ball) certified += u * u;
  const double balls = static_cast<double>(u_of_ball.size());
  const double u = std::sqrt(scatter / (count * count) + certified / (balls * balls));
  const auto limit = limits.by_characteristic.find("probing_size");
  const double matters =
      limit == limits.by_characteristic.end() ? 0 : kOfLimit * limit->second.at(0);
  const auto same_way = std::ranges::count_if(
      values, [&](const TestValue* v) { return v->id == "probing_size" && v->value * mean > 0; });
  if (static_cast<double>(same_way) < kAlike * count || std::abs(mean) <= kTimesU * u ||
      std::abs(mean) <= matters || length_error > kLengthShare * std::abs(mean))
    return std::nullopt;
  return make_finding(
      "surface-bias",
      {{"difference", micrometres(std::abs(mean))}, {"direction", mean < 0 ? "small" : "large"}});
}

}  // namespace rigproof
