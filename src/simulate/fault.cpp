#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "base/error.h"
#include "inputs/near_name.h"
#include "simulate/scenario.h"

namespace rigproof {
const std::vector<FaultKind>& fault_kinds() {
  using enum FaultClass;
  static const std::vector<FaultKind> kinds{
      {"board-pitch", calibration, "ppm", ""},
      {"board-temperature", calibration, "K", ""},
      {"baseline", calibration, "ppm", ""},
      {"focal-both", calibration, "ppm", ""},
      {"focal-left", calibration, "ppm", ""},
      {"focal-right", calibration, "ppm", ""},
      {"principal-x-left", calibration, "px", ""},
      {"principal-x-right", calibration, "px", ""},
      {"principal-y-right", calibration, "px", ""},
      {"toe-in", calibration, "urad", ""},
      {"pitch", calibration, "urad", ""},
      {"roll", calibration, "urad", ""},
      {"radial-both", calibration, "px", ""},
      {"radial-left", calibration, "px", ""},
      {"radial-right", calibration, "px", ""},
      {"local", calibration, "um", ""},
      {"focus", condition, "", "noise-uneven"},
      {"warm-up", condition, "um", "warm-up"},
      {"vibration", condition, "um", "vibration"},
      {"saturated", condition, "", "hole"},
      {"translucent", condition, "um", "surface-bias"},
      {"two-shells", condition, "um", "two-shells"},
      {"outliers", condition, "share", "outliers-above-allowance"},
      {"smoothed", processing, "kernel", "smoothed"},
      {"thinned", processing, "mm", "thinned"},
      {"rounded", processing, "um", "coarse-coordinates"},
      {"tails-cut", processing, "", "tails-cut"},
      {"perfect", processing, "", "too-perfect"},
      {"inches", processing, "", "unit-mismatch"},
      {"scaled", processing, "ppm", "scaled"},
      {"mirrored", processing, "", "mirrored"},
      {"duplicate", processing, "", "same-measurement"},
      {"truncated", processing, "", "truncated"},
      {"nan", processing, "", "points-dropped"},
      {"mesh", processing, "", "is-mesh"},
      {"short-cap", placement, "deg", "short-cap"},
      {"holder", placement, "", "holder-cut"},
      {"wrong-artefact", placement, "", "wrong-artefact"},
      {"overdue", placement, "", "artefact-overdue"},
      {"swapped", placement, "", "balls-swapped"},
      {"outside-volume", placement, "", "outside-volume"},
      {"not-soaked", placement, "K", "not-soaked"},
      {"missing", placement, "", "position-missing"},
  };
  return kinds;
}

const FaultKind& fault_kind(std::string_view name) {
  const auto& kinds = fault_kinds();
  const auto at = std::ranges::find(kinds, name, &FaultKind::name);
  if (at != kinds.end()) return *at;
  std::vector<std::string> known;
  for (const FaultKind& k : kinds) known.emplace_back(k.name);
  throw Error(
      ErrorKind::usage, "unknown fault \"" + std::string(name) + "\"", did_you_mean(name, known));
}

Fault parse_fault(const std::string& text) {
  Fault f;
  const std::size_t equals = text.find('=');
  f.name = text.substr(0, equals);
  const FaultKind& kind = fault_kind(f.name);
  if (equals == std::string::npos) return f;
  std::string number = text.substr(equals + 1);
  if (const std::size_t at = number.find('@'); at != std::string::npos) {
    f.zone = number.substr(at + 1);
    number.resize(at);
    if (f.name != "local")
      throw Error(ErrorKind::usage,
                  "only the fault \"local\" has a place: " + text,
                  "Leave the @ and the place out.");
    const auto& zones = all_zone_ids();
    if (std::ranges::find(zones, f.zone) == zones.end())
      throw Error(ErrorKind::usage,
                  "unknown zone \"" + f.zone + "\" in " + text,
                  "Zones are named like near-top-left or mid-middle-centre.");
  }
  if (kind.unit.empty())
    throw Error(ErrorKind::usage,
                "the fault \"" + f.name + "\" has no magnitude: " + text,
                "Give its name alone: --fault " + f.name);
  try {
    std::size_t used = 0;
    f.value = std::stod(number, &used);
    if (used != number.size() || !std::isfinite(*f.value)) throw std::invalid_argument(number);
  } catch (const std::exception&) {
    throw Error(ErrorKind::usage,
                "\"" + number + "\" is not a number in " + text,
                "Write the magnitude after '=', in " + std::string(kind.unit) + ".");
  }
  return f;
}

const Fault* Scenario::fault(std::string_view name) const {
  const auto at = std::ranges::find(faults, name, &Fault::name);
  return at == faults.end() ? nullptr : &*at;
}

}  // namespace rigproof
