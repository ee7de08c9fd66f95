#pragma once

#include <vector>

#include "evaluate/feature.h"
#include "evaluate/test_value.h"
#include "inputs/session.h"
#include "locate/recognise.h"

namespace rigproof {

/// Where a scan's values come from.
struct ValueContext {
  std::string scan, place;
  const Field* field = nullptr;  ///< nullptr: no zones
  const Procedure* procedure = nullptr;
  const Environment* environment = nullptr;
  std::optional<Date> test_date;
  double coordinate_step_mm = 0;  ///< rounding of the export, 0 unknown
};

/// Temperature of the artefact with its standard uncertainty and where it came from.
struct ArtefactTemperature {
  double C = 20, u_C = 0;
  std::string basis;  ///< "artefact", "room", "assumed 20 ± 5 °C"
};
ArtefactTemperature artefact_temperature(const Environment& environment);

/// PF, PS of each ball; SD of each listed pair (free and fixed radius). `balls` in the order of
/// artefact.balls, nullptr where a ball was not found.
std::vector<TestValue> ball_values(const Artefact& artefact,
                                   const std::vector<const BallFeature*>& balls,
                                   const ValueContext& context);
std::vector<TestValue> plate_values(const Artefact& artefact,
                                    const PlateFeature& plate,
                                    const ValueContext& context);

/// Root sum of squares, Welch–Satterthwaite, k from Student t at 95.45 % with ν truncated; fills u,
/// U, k, dof from `budget` (JCGM 100:2008, G.4).
void combine_budget(TestValue& value);

}  // namespace rigproof
