#pragma once

#include <string>
#include <vector>

#include "geometry/shapes.h"

namespace rigproof {

struct TrueFault {
  std::string name;
  double value = 0;
  std::string unit;  ///< "" for a fault without a magnitude
  std::string zone;  ///< of `local`
  std::string scan;  ///< where one scan alone carries it
};

struct TrueFeature {
  std::string kind;  ///< sphere | plane
  std::string ball;
  Vec3 center = Vec3::Zero(), expected_center = Vec3::Zero();
  double radius = 0, expected_radius = 0;
  Vec3 normal = Vec3::UnitZ();
  double form = 0, expected_form = 0;  ///< flatness of a plane
};

struct TrueScan {
  std::string file, artefact, place;
  std::vector<TrueFeature> features;
};

/// One value as the evaluation reports it (`value` of the results): `truth` for a perfect rig, with
/// what the certificate does not know of the artefact; `expected` for the rig with its faults. mm
struct TrueValue {
  std::string scan, ball, from, to, id;
  double truth = 0, expected = 0;
};

/// What is in a simulated session.
struct Truth {
  std::vector<TrueFault> faults;
  std::vector<TrueScan> scans;
  std::vector<TrueValue> values;
};

/// truth.json. Keys in a fixed order, numbers exact.
std::string to_json(const Truth& truth);

}  // namespace rigproof
