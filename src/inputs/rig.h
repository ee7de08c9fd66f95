#pragma once

#include <array>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "geometry/shapes.h"
#include "geometry/volume.h"

namespace rigproof {

struct Field {
  std::string name;  ///< label of the field of view, e.g. "300"
  Volume volume;
};

/// Stereo geometry, exact or from a tape measure. Cameras lie on the X axis, symmetric about the
/// sensor frame's origin.
struct Stereo {
  bool tape = false;
  double baseline_mm = 0;
  double focal_px = 0;
  std::array<int, 2> image_px{0, 0};
  double aim_mm = 0;  ///< both cameras aimed at this distance; 0: toe_in_deg counts
  std::array<double, 2> toe_in_deg{0, 0};  ///< left, right; positive turns inward
  double board_alpha_per_K = 0;
  /// Directions of sight start here. mm, sensor frame
  std::array<Vec3, 2> camera_centers() const {
    return {Vec3(-baseline_mm / 2, 0, 0), Vec3(baseline_mm / 2, 0, 0)};
  }
};

/// The rig's own matching noise, written by the program from a good session.
struct NoiseReference {
  double sd_mm = 0;
  double area_px = 0;   ///< correlation area A = ∬ρ in points
  double pitch_px = 0;  ///< of these points, in camera pixels; 0: not stated
  std::vector<double> lags;
  double second_difference_ratio = 0;
  std::string from;
};

struct Rig {
  std::string id;
  std::string serial;  ///< looked for in scan headers; "" unknown
  double unit_mm = 1;  ///< of its exports
  std::string units = "mm";
  std::string export_kind = "points";  ///< points | mesh
  std::string filter = "none";
  RigidTransform to_sensor;  ///< from the exported axes, after units
  std::string axes = "right down away";
  bool axes_stated = false;
  bool lens_locked = false;
  bool simulated = false;
  std::vector<Field> fields;
  std::optional<Stereo> stereo;
  std::optional<NoiseReference> noise;

  /// Throws Error(config) listing the fields there are.
  const Field& field(const std::string& name) const;
};

/// "right down away" → rotation to the sensor frame; throws Error(config) for a reflection, with an
/// explanation of what mirrored axes would do to a verdict.
Mat3 axes_to_sensor(const std::string& words);

}  // namespace rigproof
