#pragma once

#include <array>
#include <chrono>
#include <optional>
#include <string>
#include <vector>

namespace rigproof {

using Date = std::chrono::year_month_day;

enum class ArtefactKind { ball, bar, plate };
std::string to_string(ArtefactKind kind);

/// A calibrated number: certificate value at the reference temperature with its expanded
/// uncertainty.
struct Calibrated {
  double mm = 0;
  double U_mm = 0;  ///< expanded, coverage factor Artefact::k
};

struct ArtefactBall {
  std::string id;
  Calibrated diameter;
  double form_mm = 0;  ///< calibrated form error, 0 when not stated
};

struct ArtefactDistance {
  std::string from, to;
  Calibrated length;
};

/// Holder or stem that hides part of a ball: a cone about `axis`, from the ball along the stem, in
/// the sensor frame (default: straight down).
struct Holder {
  std::array<double, 3> axis{0, 1, 0};
  double half_angle_deg = 0;
};

/// A bar whose balls lie beside its neutral axis: bending that turns each end by `slope_urad`
/// changes their distance by 2·h·slope.
struct Bending {
  double off_axis_mm = 0;  ///< h
  double slope_urad = 0;   ///< of each end, how far it may differ from the calibration's
};

/// A ball (one ball), a bar or ball plate (two or more balls and their distances), or a flat plate.
/// Numbers as printed on the certificate; lengths in mm, µm in the file become mm here.
struct Artefact {
  ArtefactKind kind = ArtefactKind::bar;
  std::string serial;
  std::string material;  ///< "" unknown: steel is assumed and said so
  double alpha_per_K = 11.5e-6;
  double u_alpha_per_K = 1e-6 / 1.7320508075688772;  ///< ±1e-6 rectangular, common practice
  bool alpha_from_table = true;
  std::string certificate, laboratory;
  std::optional<Date> date, due;
  double reference_C = 20;
  double k = 2;
  double drift_mm_per_year = 0;
  std::string support, surface;
  double support_mm = 0;           ///< what another support may change, half-width; 0 not declared
  std::optional<Bending> bending;  // bar
  double coating_mm = 0;           ///< declared coating thickness; 0 none
  std::optional<Holder> holder;
  bool certified = true;  ///< false: written around a nominal value typed on the command line

  std::vector<ArtefactBall> balls;          // ball, bar
  std::vector<ArtefactDistance> distances;  // bar
  double length_mm = 0, width_mm = 0;       // plate, nominal
  double border_mm = 3;                     // plate
  Calibrated flatness;                      // plate

  std::string name;  ///< file stem, "bar-250-07"; what `artefact = …` of a scan may say too
};

}  // namespace rigproof
