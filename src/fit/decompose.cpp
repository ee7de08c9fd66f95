#include "fit/decompose.h"

#include <Eigen/Eigenvalues>
#include <Eigen/LU>

namespace rigproof {
namespace {

constexpr double kSingular = 1e-14;  // reciprocal condition number of a normal matrix

template <int N>
bool invert_symmetric(const Eigen::Matrix<double, N, N>& a, Eigen::Matrix<double, N, N>& inverse) {
  if (!a.allFinite()) return false;
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix<double, N, N>> solver(a);
  const auto& values = solver.eigenvalues();
  if (!(values[0] > kSingular * values[N - 1])) return false;
  inverse = solver.eigenvectors() * values.cwiseInverse().asDiagonal() *
            solver.eigenvectors().transpose();
  inverse = (0.5 * (inverse + inverse.transpose())).eval();
  return true;
}

}  // namespace

PrincipalAxes principal_axes(const Mat3& symmetric) {
  const Eigen::SelfAdjointEigenSolver<Mat3> solver(symmetric);
  PrincipalAxes principal{solver.eigenvalues(), solver.eigenvectors()};
  if (principal.axes.determinant() < 0) principal.axes.col(2) *= -1;
  return principal;
}

bool invert_normal(const Eigen::Matrix4d& normal, bool hold_radius, Eigen::Matrix4d& inverse) {
  if (!hold_radius) return invert_symmetric<4>(normal, inverse);
  inverse.setZero();
  Mat3 upper;
  if (!invert_symmetric<3>(normal.topLeftCorner<3, 3>(), upper)) return false;
  inverse.topLeftCorner<3, 3>() = upper;
  return true;
}

bool invert_basis(const Mat5& basis, Mat5& inverse) {
  const Eigen::FullPivLU<Mat5> lu(basis);
  if (!lu.isInvertible()) return false;
  inverse = lu.inverse();
  return inverse.allFinite();
}

}  // namespace rigproof
