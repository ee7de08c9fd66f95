#include "record/history.h"

#include <ctime>
#include <map>

#include "base/sha256.h"

namespace rigproof {
namespace {

std::string feature_of(const TestValue& value) {
  return value.pair.first.empty() ? value.ball : value.pair.first + "-" + value.pair.second;
}

std::string day_of(const Session& session, const std::string& recorded) {
  if (session.date) return to_string(*session.date);
  const auto by_id = find_date(session.id.substr(0, 10));
  return by_id ? to_string(*by_id) : recorded.substr(0, 10);
}

HistoryValue history_value(const JudgedValue& judged) {
  const TestValue& v = judged.value;
  HistoryValue out;
  out.characteristic = v.id;
  out.artefact = v.artefact;
  out.feature = feature_of(v);
  out.zone = v.zone;
  out.place = v.place;
  out.scan = v.scan;
  out.measured = v.measured;
  out.reference = v.reference;
  out.value = v.value;
  out.U = v.U;
  if (judged.decision) {
    out.limit = judged.decision->limit;
    out.verdict = to_string(judged.decision->verdict);
  }
  return out;
}

template <class Entry>
std::string digest(Entry entry) {
  entry.id.clear();
  entry.recorded.clear();
  return sha256_hex(to_json_line(entry)).substr(0, 32);
}

}  // namespace

const std::vector<std::string>& event_kinds() {
  static const std::vector<std::string> kinds{"knock", "move", "service", "other"};
  return kinds;
}

std::string digest_of(const HistoryCheck& check) { return digest(check); }
std::string digest_of(const HistoryEvent& event) { return digest(event); }

std::optional<HistoryCheck> history_check(const Results& r,
                                          const std::string& recorded,
                                          const std::string& by_version) {
  const Session& s = r.session;
  if (r.simulated || !s.rig_given || s.rig.id.empty() || s.field_name.empty()) return std::nullopt;
  HistoryCheck check;
  check.rig = s.rig.id;
  check.field = s.field_name;
  check.session = s.id;
  check.kind = s.kind;
  check.procedure = s.procedure.name;
  if (!r.scans.empty()) check.first_scan = r.scans.front().sha256;
  check.day = day_of(s, recorded);
  check.calibration = r.calibration_sha256.empty() ? s.calibration : r.calibration_sha256;
  check.verdict = to_string(r.verdict);
  check.headline = r.headline;
  check.version = by_version;
  check.recorded = recorded;
  for (const auto& c : r.characteristics)
    for (const auto& v : c.values) check.values.push_back(history_value(v));
  for (const auto& c : r.diagnosis.causes)
    check.causes.push_back({c.id, c.unit, c.coefficient, c.u});
  for (const auto& f : r.findings) check.findings.push_back({f.id, to_string(f.severity), f.scan});
  check.id = digest_of(check);
  return check;
}

std::vector<HistoryCheck> last_runs(std::vector<HistoryCheck> checks) {
  // By time of recording; of equals the later in the list.
  std::map<std::array<std::string, 4>, const HistoryCheck*> last;
  for (const HistoryCheck& c : checks) {
    const HistoryCheck*& held = last[{c.rig, c.field, c.session, c.first_scan}];
    if (!held || held->recorded <= c.recorded) held = &c;
  }
  std::vector<HistoryCheck> out;
  for (HistoryCheck& c : checks)
    if (last.at({c.rig, c.field, c.session, c.first_scan}) == &c) out.push_back(std::move(c));
  return out;
}

std::string utc_text(std::chrono::system_clock::time_point time) {
  const std::time_t now = std::chrono::system_clock::to_time_t(time);
  std::tm parts{};
  ::gmtime_r(&now, &parts);
  char text[32];
  std::strftime(text, sizeof text, "%Y-%m-%dT%H:%M:%SZ", &parts);
  return text;
}

std::string utc_now() { return utc_text(std::chrono::system_clock::now()); }

}  // namespace rigproof
