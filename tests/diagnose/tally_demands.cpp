#include <algorithm>

#include <fmt/format.h>

#include "diagnose/tally.h"

namespace rigproof {
namespace {

double ratio(int part, int of) { return of > 0 ? static_cast<double>(part) / of : 0; }

std::string percent(double share) { return fmt::format("{:.1f} %", 100 * share); }

// Sizes of one fault added up, those that nobody can tell apart together.
std::map<std::string, Tally> by_class(const Statistics& s) {
  std::map<std::string, Tally> out;
  for (const auto& [fault, by_multiple] : s.by_fault)
    for (const auto& [multiple, tally] : by_multiple) out[fault_class(fault)].add(tally);
  return out;
}

}  // namespace

std::vector<StatisticsDemand> Statistics::demands() const {
  std::map<double, Tally> of_size;
  for (const auto& [fault, by_multiple] : by_fault)
    for (const auto& [multiple, tally] : by_multiple) of_size[multiple].add(tally);
  Tally all;
  for (const auto& [multiple, tally] : of_size) all.add(tally);
  std::string weakest;
  double in_set = 2;
  const auto classes = by_class(*this);
  for (const auto& [fault, t] : classes)
    if (ratio(t.in_set, t.sessions) < in_set) in_set = ratio(t.in_set, t.sessions), weakest = fault;

  std::vector<StatisticsDemand> out;
  const auto least = [&](const std::string& what, double got, double wanted) {
    out.push_back({what, percent(got), "≥ " + percent(wanted), got >= wanted});
  };
  const auto most = [&](const std::string& what, double got, double wanted) {
    out.push_back({what, fmt::format("{:.2f}", got), fmt::format("≤ {}", wanted), got <= wanted});
  };
  least("planted fault in the set of causes, weakest fault (" + weakest + ")", in_set, 0.95);
  most("mean set at 1.5 times the limit", of_size.begin()->second.mean_set(), 2.5);
  most("mean set at 5 times the limit", of_size.rbegin()->second.mean_set(), 1.5);
  least("planted fault or its near-twin first", ratio(all.first, all.sessions), 0.95);
  least("coefficient within 3 u", ratio(all.within_3u, all.coefficients), 0.99);
  const double z = all.standardised();
  out.push_back({"pooled standardised error of the coefficients",
                 fmt::format("{:.2f}", z),
                 "0.85 to 1.15",
                 z >= 0.85 && z <= 1.15});
  least("clean sessions that name nothing", 1 - ratio(clean_named, clean), 0.95);
  least("two separable faults both named", ratio(pairs_named, pairs), 0.95);
  const Tally& local = classes.at("local");
  least("zone of a dent named", ratio(local.in_set, local.sessions), 0.9);
  return out;
}

}  // namespace rigproof
