#pragma once

#include <string>

#include "assess/results.h"

namespace rigproof {

/// values.csv: one row a value, lengths in mm, point as decimal mark, header line first.
std::string values_csv(const Results& results);
/// positions.csv: one row a scan: status, artefact, place, zone, centre, weakest ratio.
std::string positions_csv(const Results& results);

}  // namespace rigproof
