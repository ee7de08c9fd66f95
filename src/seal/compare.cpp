#include "seal/compare.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <tuple>

namespace rigproof {
namespace {

constexpr double kSameTemperature = 1e-6;  // K

std::string feature_of(const TestValue& v) {
  return v.pair.first.empty() ? v.ball : v.pair.first + "-" + v.pair.second;
}

/// What makes a value the same one in two evaluations; repeats are told apart by their order.
using Key = std::tuple<std::string, std::string, std::string, std::string, int>;

struct Sides {
  const JudgedValue* before = nullptr;
  const JudgedValue* after = nullptr;
};

void collect(const Results& results,
             std::map<Key, Sides>& sides,
             const JudgedValue* Sides::* side) {
  std::map<std::string, int> seen;
  for (const auto& c : results.characteristics)
    for (const auto& v : c.values) {
      const std::string feature = feature_of(v.value);
      const int repeat =
          seen[c.id + '\n' + v.value.scan + '\n' + v.value.artefact + '\n' + feature]++;
      sides[{c.id, v.value.scan, v.value.artefact, feature, repeat}].*side = &v;
    }
}

/// NaN on both sides is no difference; on one it is one.
double apart(double a, double b) {
  if (std::isnan(a) && std::isnan(b)) return 0;
  const double d = std::abs(a - b);
  return std::isnan(d) ? std::numeric_limits<double>::infinity() : d;
}

double limit_of(const JudgedValue& v) {
  return v.decision ? v.decision->limit : std::numeric_limits<double>::quiet_NaN();
}

double difference(const JudgedValue& a, const JudgedValue& b) {
  double most = apart(limit_of(a), limit_of(b));
  for (double TestValue::* part :
       {&TestValue::value, &TestValue::measured, &TestValue::reference, &TestValue::U})
    most = std::max(most, apart(a.value.*part, b.value.*part));
  return most;
}

std::string verdict_of(const JudgedValue* v) {
  return v && v->decision ? to_string(v->decision->verdict) : "";
}

/// Findings about the set of files cannot be seen in cut-outs; what stopped the session then still
/// does.
bool was_stopped(const Results& r) {
  return std::ranges::any_of(r.findings, [](const Finding& f) {
    return f.severity == Severity::stop && f.scope == Scope::session;
  });
}

/// Whether both lists say the same, of each entry `fact`, in whatever order.
template <class List, class Fact>
bool same(const List& before, const List& after, Fact fact) {
  const auto facts = [&](const List& list) {
    std::vector<decltype(fact(list.front()))> out;
    for (const auto& entry : list) out.push_back(fact(entry));
    std::ranges::sort(out);
    return out;
  };
  return facts(before) == facts(after);
}

std::vector<std::string> changed_facts(const Results& before, const Results& after, bool cut_outs) {
  std::vector<std::string> out;
  const auto hold = [&](const char* what, bool holds) {
    if (!holds) out.emplace_back(what);
  };
  hold("whether the data are simulated", before.simulated == after.simulated);
  hold("which characteristics are judged",
       same(before.characteristics, after.characteristics, [](const CharacteristicResult& c) {
         return std::tuple(c.id, c.judged);
       }));
  if (!cut_outs || !was_stopped(before))
    hold("the verdict of a characteristic",
         same(before.characteristics, after.characteristics, [](const CharacteristicResult& c) {
           return std::tuple(c.id, c.verdict);
         }));
  if (cut_outs) return out;
  hold("the list of scans and what became of them",
       same(before.scans, after.scans, [](const ScanRecord& s) {
         return std::tuple(s.file, s.sha256, s.status);
       }));
  hold("the calibration", before.calibration_sha256 == after.calibration_sha256);
  hold("the temperature of the artefacts",
       apart(before.temperature.C, after.temperature.C) <= kSameTemperature &&
           apart(before.temperature.u_C, after.temperature.u_C) <= kSameTemperature);
  return out;
}

std::vector<std::string> changed_words(const Results& before, const Results& after) {
  std::vector<std::string> out;
  const auto hold = [&](const char* what, bool holds) {
    if (!holds) out.emplace_back(what);
  };
  hold("the headline", before.headline == after.headline);
  hold("the findings", same(before.findings, after.findings, [](const Finding& f) {
         return std::tuple(f.id, f.severity, f.scope, f.scan);
       }));
  hold("what was not tested", before.not_tested == after.not_tested);
  hold("why scans were left out", same(before.scans, after.scans, [](const ScanRecord& s) {
         return std::tuple(s.file, s.reason);
       }));
  return out;
}

}  // namespace

bool Comparison::same() const {
  return verdict_before == verdict_after && facts.empty() &&
         std::ranges::all_of(values, &ComparedValue::same);
}

Comparison compare(const Results& before, const Results& after, bool cut_outs) {
  std::map<Key, Sides> sides;
  collect(before, sides, &Sides::before);
  collect(after, sides, &Sides::after);
  Comparison out;
  out.verdict_before = before.verdict;
  out.verdict_after = cut_outs && was_stopped(before) ? Verdict::invalid : after.verdict;
  out.facts = changed_facts(before, after, cut_outs);
  if (!cut_outs) out.words = changed_words(before, after);
  for (const auto& [key, side] : sides) {
    ComparedValue v;
    std::tie(v.characteristic, v.scan, v.artefact, v.feature, std::ignore) = key;
    if (side.before) v.before = side.before->value.value;
    if (side.after) v.after = side.after->value.value;
    v.verdict_before = verdict_of(side.before);
    v.verdict_after = verdict_of(side.after);
    v.difference = std::numeric_limits<double>::infinity();
    if (side.before && side.after) {
      v.difference = difference(*side.before, *side.after);
      out.largest_difference = std::max(out.largest_difference, v.difference);
    }
    out.values.push_back(std::move(v));
  }
  return out;
}

}  // namespace rigproof
