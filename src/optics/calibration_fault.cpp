#include "optics/calibration_fault.h"

#include <algorithm>
#include <cmath>

#include "base/error.h"

namespace rigproof {
namespace {

constexpr double kPpm = 1e-6, kMicro = 1e-6, kMmPerUm = 1e-3;
constexpr double kDentShare = 1.0 / 6;  // of the space diagonal

void scale_baseline(StereoRig& rig, double factor) {
  for (Camera& c : rig.cameras) c.to_sensor.translation *= factor;
}

// Turns the right camera in its own frame, after its toe-in about the vertical. Pitch and roll are
// stated in a frame with Y up, hence the signs.
void turn_right(StereoRig& rig, double toe_in, double pitch, double roll) {
  RigidTransform& pose = rig.cameras[1].to_sensor;
  pose.rotation = pose.rotation * rotation_y(toe_in) * rotation_x(-pitch) * rotation_z(-roll);
}

// k with k r³ f = `corner_px` at the stated radius.
void curl(StereoRig& rig, int camera, double corner_px) {
  Camera& c = rig.cameras[camera];
  c.residual_radial += corner_px / (c.focal_px * std::pow(rig.corner_radius, 3));
}

}  // namespace

const std::vector<CalibrationFaultKind>& calibration_fault_kinds() {
  static const std::vector<CalibrationFaultKind> kinds{
      {"board-pitch", "ppm", 10, "the board's squares are smaller than believed"},
      {"board-temperature", "K", 1, "the board was warmer than believed"},
      {"baseline", "ppm", 10, "the cameras stand nearer together than believed"},
      {"focal-both", "ppm", 10, "both focal lengths are shorter than believed"},
      {"focal-left", "ppm", 10, "the left focal length is shorter than believed"},
      {"focal-right", "ppm", 10, "the right focal length is shorter than believed"},
      {"principal-x-left", "px", 0.01, "left principal point believed too far right"},
      {"principal-x-right", "px", 0.01, "right principal point believed too far right"},
      {"principal-y-right", "px", 0.01, "right principal point believed too high"},
      {"toe-in", "urad", 5, "the right camera is toed in more than believed"},
      {"pitch", "urad", 5, "the right camera looks higher than believed"},
      {"roll", "urad", 5, "the right camera is rolled about its axis against the belief"},
      {"radial-both", "px", 0.01, "both lenses undistorted outwards at the corner"},
      {"radial-left", "px", 0.01, "left lens undistorted outwards at the corner"},
      {"radial-right", "px", 0.01, "right lens undistorted outwards at the corner"},
      {"local", "um", 1, "a dent in one zone, away from the rig"},
  };
  return kinds;
}

const CalibrationFaultKind* find_calibration_fault(std::string_view id) {
  const auto& kinds = calibration_fault_kinds();
  const auto at = std::ranges::find(kinds, id, &CalibrationFaultKind::id);
  return at == kinds.end() ? nullptr : &*at;
}

Vec3 Dent::displacement(const Vec3& p) const {
  const double d = (p - center).norm() / width_mm;
  return height_mm * std::exp(-0.5 * d * d) * p.normalized();
}

Vec3 Belief::dented(const Vec3& p) const {
  Vec3 out = p;
  for (const Dent& d : dents) out += d.displacement(p);
  return out;
}

Belief believe(const StereoRig& truth,
               std::span<const CalibrationFault> faults,
               const Volume* volume) {
  Belief b{truth, {}};
  StereoRig& rig = b.rig;
  for (const CalibrationFault& f : faults) {
    const double v = f.value;
    if (f.id == "board-pitch" || f.id == "baseline") {
      scale_baseline(rig, 1 + v * kPpm);
    } else if (f.id == "board-temperature") {
      scale_baseline(rig, 1 - v * rig.board_alpha_per_K);
    } else if (f.id == "focal-both" || f.id == "focal-left" || f.id == "focal-right") {
      if (f.id != "focal-right") rig.cameras[0].focal_px *= 1 + v * kPpm;
      if (f.id != "focal-left") rig.cameras[1].focal_px *= 1 + v * kPpm;
    } else if (f.id == "principal-x-left") {
      rig.cameras[0].principal_px.x() += v;
    } else if (f.id == "principal-x-right") {
      rig.cameras[1].principal_px.x() += v;
    } else if (f.id == "principal-y-right") {
      rig.cameras[1].principal_px.y() -= v;
    } else if (f.id == "toe-in") {
      turn_right(rig, v * kMicro, 0, 0);
    } else if (f.id == "pitch") {
      turn_right(rig, 0, v * kMicro, 0);
    } else if (f.id == "roll") {
      turn_right(rig, 0, 0, v * kMicro);
    } else if (f.id == "radial-both" || f.id == "radial-left" || f.id == "radial-right") {
      if (f.id != "radial-right") curl(rig, 0, v);
      if (f.id != "radial-left") curl(rig, 1, v);
    } else if (f.id == "local") {
      if (!volume)
        throw Error(ErrorKind::config,
                    "a local fault needs a measuring volume",
                    "Give the rig's field a volume.");
      b.dents.push_back(
          {zone_center(*volume, f.zone), kDentShare * volume->diagonal(), v * kMmPerUm});
    } else {
      throw Error(ErrorKind::usage, "unknown calibration fault \"" + f.id + "\"");
    }
  }
  return b;
}

}  // namespace rigproof
