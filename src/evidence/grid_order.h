#pragma once

#include "evidence/seen_surface.h"

namespace rigproof {

/// Whether the points run through the file as an image does. 1: rows and their order turn as
/// left–right and top–bottom do as seen from the sensor; −1: they turn the other way, as in a
/// mirrored export (or one written by columns); 0: no rows are seen.
int grid_hand(const SeenSurface& surface);

/// Share of the zone that is missing within its rows, from gaps of up to eight pitches; 0 for a
/// file without rows.
double missing_in_rows(const SeenSurface& surface);

}  // namespace rigproof
