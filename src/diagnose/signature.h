#pragma once

#include <functional>
#include <string>
#include <vector>

#include "inputs/rig.h"
#include "optics/sensitivity.h"

namespace rigproof {

/// A point of a measured surface and when it was measured.
struct SurfacePoint {
  Vec3 point = Vec3::Zero();     ///< mm, sensor frame
  Vec3 normal = -Vec3::UnitZ();  ///< unit, towards the rig
  double progress = 0;           ///< 0 at the first scan, 1 at the last
};

/// Families are held to separate shares of the false alarms, so that many possible dents do not
/// dull the eye for the calibration.
enum class SignatureFamily { calibration, other };

using Displacement = std::function<Vec3(const SurfacePoint&)>;

/// What one unit of a fault does to every measured point.
struct Signature {
  std::string id, unit, zone;
  SignatureFamily family = SignatureFamily::calibration;
  Displacement displacement;  ///< mm per unit
  /// What the displacement would be if the rig differed by one standard deviation of what is not
  /// known of it: the lenses' distortion, and all dimensions where a tape measure gave them.
  std::vector<Displacement> variations;
};

/// The rig as the diagnosis pictures it, and how it may differ (one standard deviation each).
struct PicturedRig {
  StereoRig rig;
  std::vector<StereoRig> variations;
};
/// Both lenses are taken as free of distortion, and the projector as standing between the cameras.
/// Radial faults are stated at the half-diagonal of the middle of the volume. nullopt without
/// stereo geometry or volume.
std::optional<PicturedRig> pictured_rig(const Rig& rig, const Field* field);

/// Of a rig with stereo geometry: the calibration faults of optics (matched along epipolar lines),
/// a dent in each of the 27 zones, and `warm-up`, a scale that grows from the first scan to the
/// last, in µm of `longest_mm`. Without: the generic field of low order (scale, depth-scale,
/// width-scale ppm; shear-xz, shear-yz, shear-xy µrad; bow-x, bow-y, twist µm at the edge of
/// `volume`) and the same dents and warm-up.
std::vector<Signature> signatures(const std::optional<PicturedRig>& rig,
                                  const Volume& volume,
                                  double longest_mm);

}  // namespace rigproof
