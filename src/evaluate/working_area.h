#pragma once

#include "evaluate/feature.h"
#include "evaluate/zone.h"

namespace rigproof {

/// Turns `zone.u` and `zone.v` in the plane to the seen edges, then puts the rectangle about the
/// middle of the seen surface: sides nominal, or seen where they are shorter or none is known, less
/// the border. Points within the gate alone tell. False where nothing is left.
bool find_working_area(PlateZone& zone,
                       const Points& points,
                       const PlateNominal& nominal,
                       double border_mm);

}  // namespace rigproof
