#include "simulate/surroundings.h"

#include <cmath>
#include <numbers>

#include <Eigen/Geometry>

#include "optics/stereo_rig.h"

namespace rigproof {
namespace {

constexpr double kSlant = 0.35;  // rad, of the table about the horizontal
constexpr double kHolderDeg = 50;
constexpr double kFingerRadius = 0.22, kFingerLength = 2.5;  // in ball radii

}  // namespace

void add_surroundings(const Volume& volume, VirtualScene& scene) {
  const double depth = volume.far_mm - volume.near_mm;
  const double w = volume.far_width, h = volume.far_height;
  const Mat3 turn = rotation_x(-kSlant);  // the table's top leans away
  PlateBody table;
  table.u = turn.col(0);
  table.v = turn.col(1);
  table.plane.normal = -turn.col(2);
  table.half_u = 0.47 * w;
  table.half_v = 0.44 * h;
  // Its nearest edge stays behind the volume.
  table.plane.point = {
      0.03 * w, 0.1 * h, volume.far_mm + 0.08 * depth + table.half_v * std::sin(kSlant)};
  table.thickness = 0.05 * h;
  scene.plates.push_back(table);

  TriangleMesh clutter;
  const auto on_table = [&](double s, double t, double height) {
    RigidTransform pose;
    pose.rotation = turn;
    pose.translation = table.plane.point + s * table.half_u * table.u + t * table.half_v * table.v +
                       height * table.plane.normal;
    return pose;
  };
  const Vec3 block(0.13 * w, 0.08 * h, 0.05 * h);
  clutter.add_box(on_table(-0.7, 0.55, block.z() / 2), block);
  clutter.add_prism(on_table(0.72, -0.5, 0.02 * h), 0.05 * w, 0.04 * h, 6);
  scene.mesh = MeshScene(std::move(clutter));
}

void add_holder(const Sphere& ball, const Vec3& axis, VirtualScene& scene) {
  const double a = kHolderDeg * std::numbers::pi / 180;
  const Vec3 down = (Vec3::UnitY() - Vec3::UnitY().dot(axis) * axis).normalized();
  const Vec3 way = std::cos(a) * axis + std::sin(a) * down;
  scene.rods.push_back({ball.center + 0.98 * ball.radius * way,
                        ball.center + (1 + kFingerLength) * ball.radius * way,
                        kFingerRadius * ball.radius});
}

}  // namespace rigproof
