#pragma once

#include "simulate/processing.h"
#include "simulate/session_setup.h"

namespace rigproof {

/// Truth and expectation of one scan, and the shapes that its points should lie on.
struct ScanTruth {
  TrueScan scan;
  std::vector<TrueValue> values;
  std::vector<MeasuredShape> shapes;  ///< one a feature
};

/// `file` names the scan in truth.json.
ScanTruth scan_truth(const SessionSetup& setup,
                     std::size_t scan,
                     const MeasuredScan& measured,
                     const std::string& file);

}  // namespace rigproof
