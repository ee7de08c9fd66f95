#pragma once

#include <string>

#include "simulate/scenario.h"

// Faults of the virtual rig in terms of its own noise and limits.

namespace rigproof::planted {

/// "name=value" with so many times the depth noise at the middle of the volume. µm
std::string of_noise(const char* name, double times, const Scenario& s);
/// With a share of the limit of a characteristic. µm
std::string of_limit(const char* name, double share, const char* id, const Scenario& s);
/// A change of temperature that lengthens the longest bar by a share of the limit of its spacing.
std::string of_growth(double share, const Scenario& s);
/// Thinned to so many times the point spacing at the middle of the volume. mm
std::string of_spacing(double times, const Scenario& s);

}  // namespace rigproof::planted
