#pragma once

#include <map>

#include "diagnose/diagnosis.h"
#include "diagnose/observation_model.h"

namespace rigproof {

/// A test value as the zones need it. `ball` of a size or form, `pair` of a length, neither of a
/// plate.
struct RatedValue {
  std::string scan, artefact, characteristic, ball;
  std::pair<std::string, std::string> pair;
  std::optional<double> ratio;  ///< |value|/limit, where it is judged
};

/// The 27 zones in the order of all_zone_ids(). Each ball gives its zone its size and its form;
/// each length counts at both of its ends with the ratio of the length; a plate gives every zone
/// that it reaches one piece: with the plate's ratio where its farthest patch lies,
/// elsewhere with the share of it that the piece would make if it stood out as far on both sides.
std::vector<ZoneRecord> zone_records(const Volume& volume,
                                     const Observations& seen,
                                     const std::vector<RatedValue>& values,
                                     const std::map<std::string, int>& views_per_zone);

}  // namespace rigproof
