#include "app/artefact_options.h"

#include <charconv>

#include "base/error.h"
#include "inputs/nominal.h"

namespace rigproof {
namespace {

/// "300x200" → length and width in mm.
std::pair<double, double> plate_size(const std::string& text) {
  double a = 0, b = 0;
  const char* end = text.data() + text.size();
  const auto first = std::from_chars(text.data(), end, a);
  if (first.ec == std::errc() && first.ptr < end && (*first.ptr == 'x' || *first.ptr == 'X')) {
    const auto second = std::from_chars(first.ptr + 1, end, b);
    if (second.ec == std::errc() && second.ptr == end) return {a, b};
  }
  throw Error(ErrorKind::usage,
              "--plate " + text + " is not a size",
              "Give length x width in millimetres, e.g. --plate 300x200.");
}

}  // namespace

std::vector<Artefact> ArtefactOptions::artefacts() const {
  std::vector<Artefact> out;
  if (bar)
    out.push_back(nominal_bar(*bar, ball));
  else if (ball)
    out.push_back(nominal_ball(*ball));
  if (!plate.empty()) {
    const auto [length, width] = plate_size(plate);
    out.push_back(nominal_plate(length, width));
  }
  return out;
}

std::vector<Option> ArtefactOptions::options() {
  return {{"--ball", "D", "a ball of this diameter, mm (with --bar: of the bar's balls)", &ball},
          {"--bar", "L", "a ball bar of this length between centres at 20 °C, mm", &bar},
          {"--plate", "LxW", "a flat plate of this size, mm", &plate}};
}

}  // namespace rigproof
