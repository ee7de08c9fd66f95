// record: results as files: results.json both ways, values.csv, positions.csv, the output folder.
// Enters: Results. Leaves: text, byte for byte the same for the same Results, and whole files.
#pragma once

#include <string>
#include <vector>

#include "assess/results.h"
#include "assess/selftest.h"

namespace rigproof {

/// The document `rigproof-results-1` (reports/schema/results.schema.json). Lengths in mm, numbers
/// round-trip exactly, NaN and infinity become null. `timings` appear only when asked for.
std::string results_json(const Results& results, bool timings = false);

/// One element of `scans` plus `findings`, as `look --json` prints it.
std::string look_json(const ScanRecord& scan,
                      const std::vector<Finding>& findings,
                      const std::map<std::string, double>* timings = nullptr);

std::string selftest_json(const std::vector<SelfCheck>& checks);

}  // namespace rigproof
