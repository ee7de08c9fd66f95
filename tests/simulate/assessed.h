#pragma once

#include <filesystem>

#include <unistd.h>

#include "assess/assess.h"
#include "simulate/simulate.h"

namespace rigproof {

/// A simulated session that went the road of every session.
struct Assessed {
  Truth truth;
  Results results;
};

/// The files are removed again.
inline Assessed assessed_with_limits(const Scenario& scenario, const std::string& name) {
  namespace fs = std::filesystem;
  const fs::path folder =
      fs::temp_directory_path() / ("rigproof_assessed_" + name + "_" + std::to_string(::getpid()));
  fs::remove_all(folder);
  Assessed out;
  out.truth = simulate(scenario, folder).truth;
  out.results = assess(load_session(folder));
  fs::remove_all(folder);
  return out;
}

/// Without limits, so that no gate takes a value away.
inline Assessed assessed(Scenario scenario, const std::string& name) {
  scenario.limits_given = false;
  scenario.limits = {};
  return assessed_with_limits(scenario, name);
}

/// Calls f(truth, value) for every value of truth.json that the results hold too.
template <typename F>
void for_values(const Assessed& a, F f) {
  for (const TrueValue& t : a.truth.values)
    for (const CharacteristicResult& c : a.results.characteristics)
      for (const JudgedValue& j : c.values) {
        const TestValue& v = j.value;
        if (v.id == t.id && v.scan == t.scan && v.ball == t.ball && v.pair.first == t.from &&
            v.pair.second == t.to)
          f(t, v);
      }
}

/// Calls f(truth, feature) for every ball and plate that both name.
template <typename F>
void for_features(const Assessed& a, F f) {
  for (const TrueScan& t : a.truth.scans)
    for (const ScanRecord& s : a.results.scans)
      for (const FeatureRecord& r : s.features)
        for (const TrueFeature& e : t.features)
          if (s.file == t.file && r.sphere == (e.kind == "sphere") && r.ball == e.ball) f(e, r);
}

}  // namespace rigproof
