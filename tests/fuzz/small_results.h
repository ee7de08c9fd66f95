#pragma once

#include <algorithm>

#include "report/sample_results.h"

namespace rigproof {

/// Results of an invented session that hold every kind of entry, yet few of each: what the fuzzers
/// of results.json and pictures.bin begin with.
inline const Results& small_results() {
  static const Results results = [] {
    Results r = sample_results(SampleCase::outside);
    for (CharacteristicResult& c : r.characteristics) {
      c.values.resize(std::min<std::size_t>(c.values.size(), 1));
      c.worst = c.values.empty() ? -1 : 0;
    }
    const auto plate = std::ranges::find_if(
        r.scans, [](const ScanRecord& s) { return !s.features.empty() && !s.features[0].sphere; });
    // A ball, a plate, and one that was withdrawn and has no features.
    std::vector<ScanRecord> scans{r.scans.front(), *plate, r.scans.back()};
    r.scans = std::move(scans);
    for (auto* list : {&r.findings}) list->resize(std::min<std::size_t>(list->size(), 2));
    r.inputs.resize(1);
    r.zones.resize(std::min<std::size_t>(r.zones.size(), 2));
    for (ScanRecord& scan : r.scans)
      for (FeatureRecord& f : scan.features)
        f.picture.resize(std::min<std::size_t>(f.picture.size(), 3));
    return r;
  }();
  return results;
}

}  // namespace rigproof
