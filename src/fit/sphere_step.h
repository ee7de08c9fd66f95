#pragma once

#include <optional>
#include <span>

#include <Eigen/Core>

#include "geometry/points.h"

namespace rigproof {

/// Sums of the weighted normal equations of d_i = |p_i − c| − r with rows (−n_i, −1),
/// n_i = (p_i − c)/|p_i − c|. A judged fit uses weight one throughout; only locate/ passes weights.
struct SphereSums {
  double weight = 0;       ///< Σw
  Vec3 n = Vec3::Zero();   ///< Σw n
  Mat3 nn = Mat3::Zero();  ///< Σw n nᵀ
  double d = 0;            ///< Σw d, mm
  Vec3 dn = Vec3::Zero();  ///< Σw d n, mm
  double dd = 0;           ///< Σw d², mm²

  SphereSums& operator+=(const SphereSums& o);
  Eigen::Matrix4d normal() const;    ///< JᵀWJ for (cx, cy, cz, r)
  Eigen::Vector4d gradient() const;  ///< JᵀWd, mm
};

/// The sums at a centre in the frame of `Points::local`. `weights`: one a point, or empty for one.
/// Fixed blocks of eight-lane sums: the same bits whatever `threads` (0: default).
SphereSums sphere_sums(const Points& points,
                       const Vec3& local_center,
                       double radius,
                       std::span<const double> weights = {},
                       int threads = 0);

/// One plain loop over the same definition, for comparison.
SphereSums sphere_sums_serial(const Points& points,
                              const Vec3& local_center,
                              double radius,
                              std::span<const double> weights = {});

/// Gauss–Newton step −(JᵀWJ)⁻¹JᵀWd for (cx, cy, cz, r), the last zero with `hold_radius`. None when
/// the normal matrix is singular.
std::optional<Eigen::Vector4d> sphere_step(const SphereSums& sums, bool hold_radius);

}  // namespace rigproof
