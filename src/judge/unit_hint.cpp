#include "judge/unit_hint.h"

#include <array>
#include <cmath>

#include <fmt/format.h>

namespace rigproof {
namespace {

struct Unit {
  const char *word, *name;
  double mm;
};
constexpr std::array<Unit, 5> kUnits{{{"mm", "millimetres", 1},
                                      {"inch", "inches", 25.4},
                                      {"m", "metres", 1000},
                                      {"cm", "centimetres", 10},
                                      {"um", "micrometres", 0.001}}};

}  // namespace

std::optional<UnitHint> unit_hint(double measured_mm,
                                  double nominal_mm,
                                  double unit_mm,
                                  double within) {
  if (!(measured_mm > 0 && nominal_mm > 0 && unit_mm > 0)) return std::nullopt;
  const double ratio = measured_mm / nominal_mm;
  for (const double known : {25.4, 1000.0, 10.0, 1 / 25.4, 1 / 1000.0, 1 / 10.0}) {
    if (std::abs(ratio / known - 1) > within) continue;
    for (const Unit& u : kUnits) {
      if (std::abs(u.mm * known / unit_mm - 1) > 1e-9) continue;
      const double times = known > 1 ? known : 1 / known;
      return UnitHint{known,
                      u.word,
                      u.name,
                      fmt::format("{:g} times too {}", times, known > 1 ? "large" : "small")};
    }
  }
  return std::nullopt;
}

}  // namespace rigproof
