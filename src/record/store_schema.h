#pragma once

#include <string>

#include "record/database.h"

namespace rigproof {

/// One row a test value, cause or finding, with the entry that it belongs to and its place in it.
struct Table {
  std::string name, columns;
  int width;  ///< columns
};
inline const Table kChecks{
    "checks",
    "id, rig, field, session, kind, procedure, first_scan, day, calibration, verdict, headline, "
    "version, recorded",
    13};
inline const Table kValues{
    "check_values",
    "check_id, position, characteristic, artefact, feature, zone, place, scan, "
    "measured, reference, value, expanded_u, limit_mm, verdict",
    14};
inline const Table kCauses{"check_causes", "check_id, position, cause, unit, coefficient, u", 6};
inline const Table kFindings{"check_findings", "check_id, position, finding, severity, scan", 5};
inline const Table kEvents{"events", "id, rig, field, day, kind, note, recorded", 7};

/// Makes the tables, which refuse every change of a row, unless they are there.
void set_up(Database& database);

}  // namespace rigproof
