// evaluate: evaluation zone -> characteristic -> uncertainty. Numbers only: no limit and no verdict
// is known here, so that a wider limit cannot admit other points.
// Enters: a Scan, a Sighting, an artefact, a procedure, the environment. Leaves: TestValues.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "fit/fit.h"

namespace rigproof {

/// Distribution that a line stands for in the Monte Carlo run. Both have standard deviation u;
/// the closed form needs only that.
enum class LineShape { normal, rectangular };

/// A quantity that a line is computed from.
struct LineInput {
  std::string symbol;
  double value = 0;
  std::string unit;
};

/// One line of the uncertainty budget of a value. mm
struct BudgetLine {
  std::string line;           ///< "artefact calibration"
  double u = 0;               ///< standard uncertainty
  std::optional<double> dof;  ///< nullopt: infinite
  /// Values that share a term (one thermometer, one α, one certificate) share this key: their
  /// errors are fully correlated with sign `sensitivity`.
  /// A key "a*b" stands for the product of the terms a and b (second order).
  std::string shared;
  double sensitivity = 1;               ///< +1 or −1
  LineShape shape = LineShape::normal;  ///< with finite dof a scaled t, whatever the shape
  /// u as a calculator takes it, over the symbols of `inputs`: "L*alpha*u_T".
  std::string formula = {};
  std::vector<LineInput> inputs = {};
};

struct TestValue {
  std::string id;     ///< characteristic id, e.g. "sphere_spacing"
  std::string scan;   ///< relative to the session, forward slashes
  std::string place;  ///< planned position or zone
  std::string zone;
  std::string artefact;
  std::string ball;                          ///< PF, PS
  std::pair<std::string, std::string> pair;  ///< SD
  Vec3 center = Vec3::Zero();                ///< where in the sensor frame
  Vec3 direction = Vec3::Zero();             ///< bar direction or plate normal

  double measured = 0, reference = 0, value = 0;  ///< mm; reference at the artefact's temperature
  double nominal_length = 0;                      ///< L of the limit A + L/K
  bool signed_value = true;                       ///< false for ranges (form, flatness)
  double u = 0, U = 0, k = 2;
  std::optional<double> dof;  ///< effective degrees of freedom, nullopt infinite
  double u_fit = 0;           ///< predicted repeatability; never in the decision
  double noise_area = 1;      ///< correlation area A in u_fit; see with_pooled_noise
  double noise_sd = 0;        ///< s in the u_fit of a range; mm
  std::size_t points = 0, left_out = 0;
  double value_all_points = 0;
  double spacing_um = 0;  ///< typical point spacing
  std::map<std::string, double> alternatives;
  std::vector<BudgetLine> budget;
};

}  // namespace rigproof
