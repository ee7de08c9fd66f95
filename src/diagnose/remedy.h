#pragma once

#include <string_view>
#include <vector>

namespace rigproof {

/// Where a calibration board shows a fault best.
enum class BoardPlaces { any, near_and_far, corners, zone };

/// A fault in words and what a person does about it.
struct Remedy {
  std::string_view fault;
  std::string_view positive, negative;  ///< "the board was warmer than believed"
  std::string_view action;
  BoardPlaces places = BoardPlaces::any;
};
const std::vector<Remedy>& remedies();
/// nullptr for an unknown fault.
const Remedy* find_remedy(std::string_view fault);

/// A finding that says that something other than the calibration spoils the session.
struct Spoiler {
  std::string_view finding;
  bool before;  ///< a diagnosis of the calibration has to wait for it
  std::string_view action;
};
const std::vector<Spoiler>& spoilers();

}  // namespace rigproof
