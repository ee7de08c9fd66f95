#pragma once

#include <vector>

#include "plan/spot.h"

namespace rigproof {

/// An order with few moves: an artefact stays until all its scans are done, the one measured first
/// and last (a closing repeat) begins, and each scan is followed by the nearest that is left. The
/// first spot stays first.
std::vector<Spot> sequenced(const std::vector<Spot>& spots);

/// How far one spot is from another for a hand: the way of the middle plus that of the ends. mm
double move_between(const Spot& a, const Spot& b);

}  // namespace rigproof
