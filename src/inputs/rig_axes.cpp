#include "base/error.h"
#include "inputs/rig_parts.h"

namespace rigproof {
namespace {

/// The nearest rotation by Newton's iteration for the polar factor, R ← R (3 I − RᵀR) / 2; a
/// rotation to within rounding is left as it is, so that writing and reading changes nothing.
Mat3 orthonormal(Mat3 r) {
  for (int i = 0; i < 10; ++i) {
    const Mat3 error = r.transpose() * r - Mat3::Identity();
    if (error.cwiseAbs().maxCoeff() < 1e-14) break;
    r = r * (Mat3::Identity() - error / 2);
  }
  return r;
}

double determinant(const Mat3& r) {
  return r(0, 0) * (r(1, 1) * r(2, 2) - r(1, 2) * r(2, 1)) -
         r(0, 1) * (r(1, 0) * r(2, 2) - r(1, 2) * r(2, 0)) +
         r(0, 2) * (r(1, 0) * r(2, 1) - r(1, 1) * r(2, 0));
}

RigidTransform rigid(const TomlTable& t, std::string_view key) {
  constexpr double kSlack = 1e-6;  // files print six digits or more
  const auto m = t.matrix4(key);
  RigidTransform out;
  for (int i = 0; i < 3; ++i) {
    for (int j = 0; j < 3; ++j) out.rotation(i, j) = m[4 * i + j];
    out.translation[i] = m[4 * i + 3];
  }
  const Mat3& r = out.rotation;
  const double error = (r.transpose() * r - Mat3::Identity()).cwiseAbs().maxCoeff();
  if (error > kSlack || m[12] != 0 || m[13] != 0 || m[14] != 0 || m[15] != 1)
    t.fail_at(key,
              "the transform is not rigid: it would change lengths",
              "Only a rotation and a shift in mm are taken; the last row is 0, 0, 0, 1.");
  if (determinant(r) < 0)
    t.fail_at(key,
              "the transform mirrors: lengths, balls and plates look right in a mirror, so a "
              "verdict could not tell; left and right of every position would be swapped",
              "Its determinant must be +1. If the export really is mirrored, set it right in the "
              "scanning software.");
  out.rotation = orthonormal(out.rotation);
  return out;
}

}  // namespace

void read_axes(const TomlTable& t, Rig& rig) {
  const bool words = t.has("axes"), matrix = t.has("transform");
  if (words && matrix)
    t.fail_at("transform", "axes and transform say the same thing twice", "Keep one of them.");
  rig.axes_stated = words || matrix;
  if (matrix) {
    rig.axes.clear();
    rig.to_sensor = rigid(t, "transform");
    return;
  }
  rig.axes = t.text("axes", rig.axes);
  try {
    rig.to_sensor.rotation = axes_to_sensor(rig.axes);
  } catch (const Error& error) {
    t.fail_at("axes", error.what(), error.next_step());
  }
}

void write_axes(TomlWriter& w, const Rig& rig) {
  if (!rig.axes_stated) return;
  if (!rig.axes.empty()) {
    w.text("axes", rig.axes);
    return;
  }
  w.line("transform = [");
  for (int i = 0; i < 3; ++i) {
    const auto row = rig.to_sensor.rotation.row(i);
    w.line("  " + toml_numbers({row[0], row[1], row[2], rig.to_sensor.translation[i]}) + ",");
  }
  w.line("  [0, 0, 0, 1],\n]");
}

}  // namespace rigproof
