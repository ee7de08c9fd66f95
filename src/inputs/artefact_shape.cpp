#include "inputs/artefact_shape.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <Eigen/Geometry>

#include "inputs/ball_layout.h"

namespace rigproof {
namespace {

constexpr int kPushes = 80, kSpokes = 16;

Vec3 mean_size(const Volume& v) {
  return {0.5 * (v.near_width + v.far_width),
          0.5 * (v.near_height + v.far_height),
          v.far_mm - v.near_mm};
}

}  // namespace

double ArtefactShape::size_mm() const {
  if (kind() == ArtefactKind::plate) return artefact->length_mm;
  if (kind() == ArtefactKind::ball) return radii.empty() ? 0 : 2 * radii.front();
  double longest = 0;
  for (const ArtefactDistance& d : artefact->distances) longest = std::max(longest, d.length.mm);
  return longest;
}

ArtefactShape shape_of(const Artefact& artefact) {
  ArtefactShape s;
  s.artefact = &artefact;
  if (artefact.kind == ArtefactKind::plate) return s;
  s.centers = ball_layout(artefact);
  for (const ArtefactBall& b : artefact.balls) s.radii.push_back(b.diameter.mm / 2);
  return s;
}

Vec3 direction_in(const Volume& v, ArtefactKind kind, const std::array<double, 3>& along) {
  const Vec3 d(along[0], along[1], along[2]);
  if (kind == ArtefactKind::plate) return d.normalized();
  return d.cwiseProduct(mean_size(v)).normalized();
}

std::array<double, 3> normalized_direction(const Volume& v, ArtefactKind kind, const Vec3& d) {
  Vec3 n = d;
  if (kind != ArtefactKind::plate) n = d.cwiseQuotient(mean_size(v));
  n.normalize();
  return {n.x(), n.y(), n.z()};
}

RigidTransform pose_at(ArtefactKind kind, const Vec3& center, const Vec3& direction) {
  const Vec3 view = center.norm() > 0 ? Vec3(center.normalized()) : Vec3(Vec3::UnitZ());
  Vec3 x, z;
  if (kind == ArtefactKind::plate) {
    z = -direction.normalized();
    if (z.dot(view) < 0) z = -z;
    x = (Vec3::UnitX() - z.x() * z).normalized();
  } else if (kind == ArtefactKind::bar) {
    x = direction.normalized();
    z = view - view.dot(x) * x;
    if (z.norm() < 0.05) z = Vec3::UnitY() - x.y() * x;
    z.normalize();
  } else {
    z = (view + 1.2 * Vec3::UnitY()).normalized();
    x = (Vec3::UnitX() - z.x() * z).normalized();
  }
  RigidTransform pose;
  pose.rotation.col(0) = x;
  pose.rotation.col(1) = z.cross(x);
  pose.rotation.col(2) = z;
  pose.translation = center;
  return pose;
}

std::vector<Vec3> cap_directions(const Vec3& axis, double half_angle_deg) {
  // A plan asks for these millions of times.
  static const auto spokes = [] {
    std::array<std::pair<double, double>, kSpokes> out;
    for (int i = 0; i < kSpokes; ++i) {
      const double phi = 2 * i * std::numbers::pi / kSpokes;
      out[static_cast<std::size_t>(i)] = {std::cos(phi), std::sin(phi)};
    }
    return out;
  }();
  const Vec3 u = axis.unitOrthogonal(), v = axis.cross(u);
  std::vector<Vec3> out{axis};
  out.reserve(1 + 2 * kSpokes);
  for (const double share : {0.5, 1.0}) {
    const double a = share * half_angle_deg * std::numbers::pi / 180;
    const double along = std::cos(a), across = std::sin(a);
    for (const auto& [cosine, sine] : spokes)
      out.push_back(along * axis + across * (cosine * u + sine * v));
  }
  return out;
}

std::vector<Vec3> touches(const ArtefactShape& shape,
                          const RigidTransform& pose,
                          double cap_half_angle_deg) {
  std::vector<Vec3> out;
  if (shape.kind() == ArtefactKind::plate) {
    for (const double s : {-0.5, 0.5})
      for (const double t : {-0.5, 0.5})
        out.push_back(pose * Vec3(s * shape.artefact->length_mm, t * shape.artefact->width_mm, 0));
    return out;
  }
  for (std::size_t i = 0; i < shape.centers.size(); ++i) {
    const Vec3 c = pose * shape.centers[i];
    for (const Vec3& n : cap_directions(-c.normalized(), cap_half_angle_deg))
      out.push_back(c + shape.radii[i] * n);
  }
  return out;
}

bool push_inside(const ArtefactShape& shape,
                 const Volume& volume,
                 double cap_half_angle_deg,
                 double clearance_mm,
                 RigidTransform& pose) {
  for (int i = 0; i < kPushes; ++i) {
    Vec3 push = Vec3::Zero();
    for (const Vec3& p : touches(shape, pose, cap_half_angle_deg)) {
      const Vec3 n = volume.normalized(p);
      const double t = std::clamp((n.z() + 1) / 2, 0.0, 1.0);
      const Vec3 half(0.5 * (volume.near_width + t * (volume.far_width - volume.near_width)),
                      0.5 * (volume.near_height + t * (volume.far_height - volume.near_height)),
                      0.5 * (volume.far_mm - volume.near_mm));
      for (int axis = 0; axis < 3; ++axis) {
        const double over = (std::abs(n[axis]) - 1) * half[axis] + clearance_mm;
        const double move = n[axis] > 0 ? -over : over;
        if (over > 0 && std::abs(move) > std::abs(push[axis])) push[axis] = move;
      }
    }
    if (push.norm() < 1e-9) return true;
    pose.translation += push;
  }
  return false;
}

}  // namespace rigproof
