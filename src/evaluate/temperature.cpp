#include <cmath>
#include <numbers>

#include "evaluate/thermometer.h"

namespace rigproof {
namespace {

constexpr double kThermometer = 0.3;  // K, on the artefact, common practice
constexpr double kRoom = 2;           // K, room air for the artefact
constexpr double kAssumed = 5;        // K, half-width about 20 °C
const char* const kAssumedBasis = "assumed 20 ± 5 °C";

}  // namespace

double reading_uncertainty(const Environment& e) {
  if (!e.artefact_C && !e.artefact_C_end) return kAssumed / std::numbers::sqrt3;
  return e.u_artefact_C.value_or(e.measured_on == "artefact" ? kThermometer : kRoom);
}

ArtefactTemperature artefact_temperature(const Environment& e) {
  if (!e.artefact_C && !e.artefact_C_end)
    return {20, kAssumed / std::numbers::sqrt3, kAssumedBasis};
  const double start = e.artefact_C ? *e.artefact_C : *e.artefact_C_end;
  const double end = e.artefact_C_end ? *e.artefact_C_end : start;
  const bool on_artefact = e.measured_on == "artefact";
  const double given = reading_uncertainty(e);
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
  const double a = std::abs(artefact.alpha_per_K), u_a = artefact.u_alpha_per_K;
  const LineInput L{"L", length_mm, "mm"}, u_T{"u_T", t.u_C, "K"}, u_alpha{"u_alpha", u_a, "1/K"};
  // A warmer or faster growing artefact has the longer reference, so that the value falls.
  std::vector<BudgetLine> lines{{"temperature",
                                 length_mm * a * t.u_C,
                                 {},
                                 temperature,
                                 artefact.alpha_per_K < 0 ? 1.0 : -1.0,
                                 bounded(rectangular(t)),
                                 "L*alpha*u_T",
                                 {L, {"alpha", a, "1/K"}, u_T}},
                                {"expansion coefficient",
                                 length_mm * std::abs(dT) * u_a,
                                 {},
                                 alpha,
                                 dT < 0 ? 1.0 : -1.0,
                                 bounded(artefact.alpha_from_table),
                                 "L*dT*u_alpha",
                                 {L, {"dT", std::abs(dT), "K"}, u_alpha}}};
  if (second_order)
    lines.push_back({"temperature times expansion (second order)",
                     length_mm * u_a * t.u_C,
                     {},
                     temperature + "*" + alpha,
                     -1,
                     LineShape::normal,
                     "L*u_alpha*u_T",
                     {L, u_alpha, u_T}});
  return lines;
}

}  // namespace rigproof
