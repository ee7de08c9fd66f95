#include "fit/decompose.h"

#include <cmath>

#include <gtest/gtest.h>

#include "samples.h"

namespace rigproof {
namespace {

using samples::Random;

Eigen::Matrix4d normal_matrix(Random& g) {
  Eigen::Matrix<double, 9, 4> jacobian;
  for (int i = 0; i < 9; ++i) jacobian.row(i) << samples::direction(g).transpose(), 1;
  return jacobian.transpose() * jacobian;
}

TEST(Decompose, InverseOfANormalMatrix) {
  Random g(1);
  const Eigen::Matrix4d normal = normal_matrix(g);
  Eigen::Matrix4d inverse;
  ASSERT_TRUE(invert_normal(normal, false, inverse));
  EXPECT_LT((normal * inverse - Eigen::Matrix4d::Identity()).norm(), 1e-12);
  EXPECT_EQ(inverse, Eigen::Matrix4d(inverse.transpose()));
}

TEST(Decompose, AHeldRadiusLeavesTheCentre) {
  Random g(2);
  const Eigen::Matrix4d normal = normal_matrix(g);
  Eigen::Matrix4d inverse;
  ASSERT_TRUE(invert_normal(normal, true, inverse));
  const Mat3 upper = normal.topLeftCorner<3, 3>();
  EXPECT_LT((upper * inverse.topLeftCorner<3, 3>() - Mat3::Identity()).norm(), 1e-12);
  EXPECT_EQ(inverse.row(3).norm(), 0);
  EXPECT_EQ(inverse.col(3).norm(), 0);
}

// The smallest eigenvalue is weighed against the largest, whatever lies between.
TEST(Decompose, SingularToWorkingPrecisionIsSaid) {
  Eigen::Matrix4d inverse;
  const auto of = [](double a, double b, double c, double d) {
    return Eigen::Matrix4d(Eigen::Vector4d(a, b, c, d).asDiagonal());
  };
  EXPECT_FALSE(invert_normal(of(1, 1e-3, 1e-3, 1e-15), false, inverse));
  EXPECT_FALSE(invert_normal(of(1, 1e-3, 1e-15, 1), true, inverse));
  EXPECT_TRUE(invert_normal(of(1, 1e-3, 1e-3, 1e-13), false, inverse));
  EXPECT_TRUE(invert_normal(of(1, 1e-3, 1e-3, 0), true, inverse));
  EXPECT_FALSE(invert_normal(of(0, 0, 0, 0), false, inverse));
  EXPECT_FALSE(invert_normal(of(1, 1, 1, std::nan("")), false, inverse));

  Mat5 basis = Mat5::Identity(), other;
  basis(4, 4) = 0;
  EXPECT_FALSE(invert_basis(basis, other));
  basis(4, 4) = 1e-3;
  ASSERT_TRUE(invert_basis(basis, other));
  EXPECT_NEAR(other(4, 4), 1e3, 1e-9);
}

TEST(Decompose, PrincipalAxesAscendAndAreRightHanded) {
  Random g(3);
  for (int trial = 0; trial < 20; ++trial) {
    const Mat3 turn = samples::motion(g, 0).rotation;
    const PrincipalAxes p = principal_axes(turn * Vec3(5, 1, 3).asDiagonal() * turn.transpose());
    EXPECT_LT((p.values - Vec3(1, 3, 5)).norm(), 1e-13);
    EXPECT_NEAR(p.axes.determinant(), 1, 1e-13);
    EXPECT_NEAR(std::abs(p.axes.col(0).dot(turn.col(1))), 1, 1e-13);
  }
}

}  // namespace
}  // namespace rigproof
