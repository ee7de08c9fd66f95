#include "record/rig_status.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace rigproof {
namespace {

std::optional<double> least_margin(const HistoryCheck& check) {
  std::optional<double> least;
  for (const HistoryValue& v : check.values) {
    if (!v.limit || !std::isfinite(v.value)) continue;
    const double margin = (*v.limit - std::abs(v.value) - v.U) / *v.limit;
    least = std::min(least.value_or(margin), margin);
  }
  return least;
}

RigStatus status_of(std::vector<HistoryCheck> checks,
                    const std::string& today,
                    const TrendOptions& options) {
  const Trend trend = make_trend(std::move(checks), {}, options);
  const HistoryCheck& last = trend.checks.back();
  RigStatus s;
  s.rig = last.rig;
  s.field = last.field;
  s.day = last.day;
  s.session = last.session;
  s.kind = last.kind;
  s.verdict = last.verdict;
  s.checks = trend.checks.size();
  s.margin = least_margin(last);
  s.days_since = static_cast<int>(day_number(today) - day_number(last.day));
  s.forecast = trend.forecast;
  for (const HistoryFinding& f : last.findings)
    if (f.severity != "note" && std::ranges::find(s.open_findings, f.id) == s.open_findings.end())
      s.open_findings.push_back(f.id);
  if (last.verdict == "outside" && !trend.suspect.empty()) s.suspect = trend.suspect.back();
  return s;
}

}  // namespace

std::vector<RigStatus> rig_statuses(std::vector<HistoryCheck> checks,
                                    const std::string& today,
                                    const TrendOptions& options) {
  std::map<std::pair<std::string, std::string>, std::vector<HistoryCheck>> by_rig;
  for (HistoryCheck& check : checks) by_rig[{check.rig, check.field}].push_back(std::move(check));
  std::vector<RigStatus> out;
  for (auto& [rig, its] : by_rig) out.push_back(status_of(std::move(its), today, options));
  return out;
}

}  // namespace rigproof
