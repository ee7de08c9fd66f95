#include "scan/transform.h"

#include <algorithm>
#include <cmath>

#include <Eigen/LU>

#include "base/error.h"
#include "base/input_file.h"

namespace rigproof {
namespace {

/// Deviation of RᵀR from the identity that printing with seven digits explains; a scale of 2 ppm,
/// 0.6 µm in 300 mm, is beyond it.
constexpr double kRigidTolerance = 4e-6;

/// Signed scale of a matrix, or for a shear the length of its most deviating axis; never 1.
double scale_of(const Mat3& m) {
  const double determinant = m.determinant();
  double scale = std::copysign(std::cbrt(std::abs(determinant)), determinant);
  if (std::abs(scale - 1) > kRigidTolerance / 2) return scale;
  for (int c = 0; c < 3; ++c)
    if (const double length = m.col(c).norm(); std::abs(length - 1) > std::abs(scale - 1))
      scale = length;
  const Mat3 product = m.transpose() * m - Mat3::Identity();
  return std::abs(scale - 1) > kRigidTolerance / 2 ? scale : 1 + product.cwiseAbs().maxCoeff();
}

/// The nearest rotation to an almost orthogonal matrix (Newton iteration for the polar factor), so
/// that the digits of a printed matrix scale nothing.
Mat3 orthogonal(Mat3 m) {
  for (int i = 0; i < 4; ++i) m = 0.5 * m * (3 * Mat3::Identity() - m.transpose() * m);
  return m;
}

}  // namespace

void place(const ScanOptions& options,
           const std::optional<std::array<double, 16>>& in_file,
           ScanFacts& facts,
           RigidTransform& to_sensor) {
  to_sensor = options.to_sensor;
  const auto& given = options.transform ? options.transform : in_file;
  if (!given) return;
  const std::array<double, 16>& t = *given;
  if (!std::ranges::all_of(t, [](double v) { return std::isfinite(v); }) || t[12] != 0 ||
      t[13] != 0 || t[14] != 0 || t[15] == 0)
    throw Error(options.transform ? ErrorKind::config : ErrorKind::data,
                display(facts.path) + ": the transform is not a matrix of a motion",
                "Give 16 numbers row by row, the last row 0 0 0 1.");
  Mat3 m;
  m << t[0], t[1], t[2], t[4], t[5], t[6], t[8], t[9], t[10];
  m /= t[15];
  const Vec3 shift = Vec3(t[3], t[7], t[11]) / t[15];
  const double off = (m.transpose() * m - Mat3::Identity()).cwiseAbs().maxCoeff();
  if (!(off <= kRigidTolerance) || m.determinant() < 0) {
    facts.transform_scale = scale_of(m);
    return;
  }
  facts.transform_applied = true;
  const Mat3 rotation = orthogonal(m);
  to_sensor.translation = options.to_sensor * Vec3(options.unit_mm * shift);
  to_sensor.rotation = options.to_sensor.rotation * rotation;
}

}  // namespace rigproof
