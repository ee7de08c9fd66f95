#pragma once

#include <Eigen/Core>

#include "geometry/points.h"

namespace rigproof {

// All Eigen decompositions of the room are behind this header: each file that instantiates one
// costs a minute under the sanitizers.

struct PrincipalAxes {
  Vec3 values = Vec3::Zero();    ///< eigenvalues, ascending
  Mat3 axes = Mat3::Identity();  ///< columns in the same order, right-handed
};
/// Eigenvalues and vectors of a symmetric 3×3 matrix.
PrincipalAxes principal_axes(const Mat3& symmetric);

/// (JᵀJ)⁻¹ of a sphere's normal matrix for (cx, cy, cz, r); with `hold_radius` the inverse of the
/// upper 3×3 block, the rest zero. False when the matrix is singular to working precision.
bool invert_normal(const Eigen::Matrix4d& normal, bool hold_radius, Eigen::Matrix4d& inverse);

/// Solution of a small square system by full pivoting; false when singular to working precision.
bool solve_square(const Eigen::Matrix4d& a, const Eigen::Vector4d& b, Eigen::Vector4d& x);

}  // namespace rigproof
