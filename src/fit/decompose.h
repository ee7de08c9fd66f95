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

using Vec5 = Eigen::Matrix<double, 5, 1>;
using Mat5 = Eigen::Matrix<double, 5, 5>;
/// Inverse of a simplex basis; false when it is singular to working precision.
bool invert_basis(const Mat5& basis, Mat5& inverse);

}  // namespace rigproof
