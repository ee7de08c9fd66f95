#pragma once

#include <map>
#include <string>
#include <tuple>
#include <vector>

#include "judge/positions.h"

namespace rigproof {

/// Counts places, each artefact for itself. A place is asked of its neighbours in a grid alone, so
/// that a hundred thousand take no hours; how near is the same as for at_same_place().
class DistinctPlaces {
 public:
  explicit DistinctPlaces(const SamePlace& tolerance) : tolerance_(tolerance) {}
  /// Whether nothing of this artefact was there before, lying so: centre in mm, direction of any
  /// sign, zero where there is none. What is not finite is like nothing else.
  bool add(const std::string& artefact, const Vec3& center, const Vec3& direction);

 private:
  struct Place {
    Vec3 center, direction;
  };
  using Cell = std::tuple<std::string, double, double, double>;

  SamePlace tolerance_;
  std::map<Cell, std::vector<Place>> cells_;
};

}  // namespace rigproof
