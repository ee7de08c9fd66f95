#pragma once

#include <string>
#include <vector>

#include "evaluate/feature.h"

namespace rigproof {

/// Patches of a plate, along its length and width.
inline constexpr int kPatchesU = 12, kPatchesV = 8;

/// What a diagnosis keeps of an evaluated ball once its points are gone.
struct ObservedBall {
  std::string scan, artefact, ball;
  Sphere sphere;                                         ///< free radius, as evaluated
  Vec3 cap_axis = -Vec3::UnitZ();                        ///< unit
  double cap_half_angle_deg = 60;                        ///< of the points that gave the fit
  Eigen::Matrix4d covariance = Eigen::Matrix4d::Zero();  ///< of (center, radius), mm²
  double noise_area = 1;  ///< correlation area that is in `covariance`
  /// Of points that scatter beyond the noise, mm².
  Eigen::Matrix4d stray_covariance = Eigen::Matrix4d::Zero();
};

/// What a diagnosis keeps of an evaluated plate: mean deviations of patches, u fastest, without the
/// points beyond six times the noise.
struct ObservedPlate {
  std::string scan, artefact;
  Vec3 center = Vec3::Zero(), normal = -Vec3::UnitZ();
  Vec3 axis_u = Vec3::UnitX(), axis_v = Vec3::UnitY();
  double length_mm = 0, width_mm = 0;  ///< of the evaluated rectangle
  std::vector<double> means;           ///< mm, kPatchesU · kPatchesV
  std::vector<std::size_t> counts;     ///< points of each
  double noise_sd = 0, noise_area = 1;

  /// Middle of patch k, and its place −1 … 1 along length and width.
  Vec3 patch(std::size_t k) const;
  double along_u(std::size_t k) const {
    const std::size_t column = k % kPatchesU;
    return (2.0 * column + 1) / kPatchesU - 1;
  }
  double along_v(std::size_t k) const {
    const std::size_t row = k / kPatchesU;
    return (2.0 * row + 1) / kPatchesV - 1;
  }
};

ObservedBall observe(const BallFeature& feature,
                     const std::string& scan,
                     const std::string& artefact,
                     const std::string& ball);
ObservedPlate observe(const PlateFeature& feature,
                      const std::string& scan,
                      const std::string& artefact);

}  // namespace rigproof
