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
  bool information = true;        ///< also what is no test value: area-weighted fits, FLTp, …
};

/// Temperature of the artefact with its standard uncertainty and where it came from.
struct ArtefactTemperature {
  double C = 20, u_C = 0;
  std::string basis;  ///< "artefact", "room", "assumed 20 ± 5 °C"
};
/// Of the mean of start and end. u: as given, else 0.3 K for a thermometer on the artefact (common
/// practice), 2 K where room air stands for the artefact, ±5 K rectangular where nothing is given;
/// a change between start and end adds half of it as a rectangular half-width.
ArtefactTemperature artefact_temperature(const Environment& environment);
/// Where the uncertainty of the temperature is a rectangular distribution (nothing given).
bool rectangular(const ArtefactTemperature& temperature);

/// Length at the artefact's temperature: L (1 + α (T − T_ref)).
double reference_at(const Artefact& artefact, double length_mm, double celsius);

/// The characteristics that the procedure names, of one ball or of every listed pair of which both
/// balls were found and fitted: PF, PS and their ISO 10360 relatives of each ball; SD or D_CC of
/// each pair (free and fixed radius both in `alternatives`). Each characteristic leaves out its own
/// share. `balls` in the order of artefact.balls, nullptr where a ball was not found.
/// `form_25`, `size_25` are missing where one of the 25 patches is empty.
std::vector<TestValue> ball_values(const Artefact& artefact,
                                   const std::vector<const BallFeature*>& balls,
                                   const ValueContext& context);
std::vector<TestValue> plate_values(const Artefact& artefact,
                                    const PlateFeature& plate,
                                    const ValueContext& context);

/// The same value with u_fit from the session's correlation area instead of the scan's own.
void with_pooled_noise(TestValue& value, const ZoneNoise& pooled);

/// The second-order product of temperature and expansion is on by default; without it the lines
/// agree with JCGM 100:2008, 5.1.2.
std::vector<BudgetLine> temperature_lines(const Artefact& artefact,
                                          double length_mm,
                                          const ArtefactTemperature& temperature,
                                          bool second_order = true);

/// Root sum of squares, shared lines of one value added with their signs first,
/// Welch–Satterthwaite, k from Student t at 95.45 % with ν truncated; fills u, U, k, dof from
/// `budget` (JCGM 100:2008, G.4).
void combine_budget(TestValue& value);

}  // namespace rigproof
