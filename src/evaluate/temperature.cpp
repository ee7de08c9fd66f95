#include <cmath>
#include <numbers>

#include "evaluate/values.h"

namespace rigproof {
namespace {

constexpr double kThermometer = 0.3;  // K, on the artefact, common practice
constexpr double kRoom = 2;           // K, room air for the artefact
constexpr double kAssumed = 5;        // K, half-width about 20 °C
const char* const kAssumedBasis = "assumed 20 ± 5 °C";

}  // namespace

ArtefactTemperature artefact_temperature(const Environment& e) {
  if (!e.artefact_C && !e.artefact_C_end)
    return {20, kAssumed / std::numbers::sqrt3, kAssumedBasis};
  const double start = e.artefact_C ? *e.artefact_C : *e.artefact_C_end;
  const double end = e.artefact_C_end ? *e.artefact_C_end : start;
  const bool on_artefact = e.measured_on == "artefact";
  const double given = e.u_artefact_C.value_or(on_artefact ? kThermometer : kRoom);
  const double change = std::abs(end - start) / 2 / std::numbers::sqrt3;
  return {0.5 * (start + end), std::hypot(given, change), on_artefact ? "artefact" : "room"};
}

bool rectangular(const ArtefactTemperature& t) { return t.basis == kAssumedBasis; }

double reference_at(const Artefact& artefact, double length_mm, double celsius) {
  return length_mm * (1 + artefact.alpha_per_K * (celsius - artefact.reference_C));
}

std::vector<BudgetLine> temperature_lines(const Artefact& artefact,
                                          double length_mm,
                                          const ArtefactTemperature& t,
                                          bool second_order) {
  const double dT = t.C - artefact.reference_C;
  const std::string alpha = "expansion:" + artefact.serial;
  const std::string temperature = "temperature";
  const auto bounded = [](bool yes) { return yes ? LineShape::rectangular : LineShape::normal; };
  // A warmer or faster growing artefact has the longer reference, so that the value falls.
  std::vector<BudgetLine> lines{{"temperature",
                                 length_mm * std::abs(artefact.alpha_per_K) * t.u_C,
                                 {},
                                 temperature,
                                 artefact.alpha_per_K < 0 ? 1.0 : -1.0,
                                 bounded(rectangular(t))},
                                {"expansion coefficient",
                                 length_mm * std::abs(dT) * artefact.u_alpha_per_K,
                                 {},
                                 alpha,
                                 dT < 0 ? 1.0 : -1.0,
                                 bounded(artefact.alpha_from_table)}};
  if (second_order)
    lines.push_back({"temperature times expansion (second order)",
                     length_mm * artefact.u_alpha_per_K * t.u_C,
                     {},
                     temperature + "*" + alpha,
                     -1,
                     LineShape::normal});
  return lines;
}

}  // namespace rigproof
