#include "inputs/nominal.h"

#include <cmath>

#include <fmt/format.h>

#include "base/error.h"
#include "base/number.h"

namespace rigproof {
namespace {

void require_size(double mm, const char* what) {
  if (std::isfinite(mm) && mm > 0 && mm < 1e6) return;
  throw Error(ErrorKind::usage,
              fmt::format("{} of {} mm is not a size", what, exact(mm)),
              "Give a positive number of millimetres.");
}

Artefact uncertified(ArtefactKind kind, std::string serial) {
  Artefact a;
  a.kind = kind;
  a.serial = std::move(serial);
  a.certified = false;
  return a;
}

}  // namespace

Artefact nominal_ball(double diameter_mm) {
  require_size(diameter_mm, "a ball");
  Artefact a = uncertified(ArtefactKind::ball, fmt::format("ball {} mm", exact(diameter_mm)));
  a.balls = {{"A", {diameter_mm, 0}, 0}};
  return a;
}

Artefact nominal_bar(double length_mm, std::optional<double> ball_diameter_mm) {
  require_size(length_mm, "a bar");
  if (ball_diameter_mm) require_size(*ball_diameter_mm, "a ball");
  const double diameter = ball_diameter_mm.value_or(0);
  Artefact a = uncertified(ArtefactKind::bar, fmt::format("bar {} mm", exact(length_mm)));
  a.balls = {{"A", {diameter, 0}, 0}, {"B", {diameter, 0}, 0}};
  a.distances = {{"A", "B", {length_mm, 0}}};
  return a;
}

Artefact nominal_plate(double length_mm, double width_mm) {
  require_size(length_mm, "a plate");
  require_size(width_mm, "a plate");
  Artefact a = uncertified(ArtefactKind::plate,
                           fmt::format("plate {} x {} mm", exact(length_mm), exact(width_mm)));
  a.length_mm = std::max(length_mm, width_mm);
  a.width_mm = std::min(length_mm, width_mm);
  return a;
}

}  // namespace rigproof
