#include "simulate/arrangement.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <Eigen/Geometry>

namespace rigproof {
namespace {

constexpr double kMargin = 1.5;        // mm inside the volume
constexpr double kCapDeg = 60.5;       // seen whole: a little more than the usual cap
constexpr double kSeenShare = 0.97;    // of a cap's sample directions
constexpr double kLeastCosine = 0.18;  // of incidence
constexpr int kPushes = 80, kLeans = 40;
constexpr double kPlannedDeg = 5;

double radians(double degrees) { return degrees * std::numbers::pi / 180; }

// Directions of a cap about an axis: the apex, a middle ring and the rim.
std::vector<Vec3> cap(const Vec3& axis, double half_angle_deg) {
  const Vec3 u = axis.unitOrthogonal(), v = axis.cross(u);
  std::vector<Vec3> out{axis};
  for (const double share : {0.5, 1.0})
    for (int i = 0; i < 16; ++i) {
      const double a = radians(share * half_angle_deg), phi = i * std::numbers::pi / 8;
      out.push_back(std::cos(a) * axis + std::sin(a) * (std::cos(phi) * u + std::sin(phi) * v));
    }
  return out;
}

// What must lie inside the volume.
std::vector<Vec3> touches(const ArtefactBody& body, const RigidTransform& pose) {
  std::vector<Vec3> out;
  const Artefact& a = body.certificate;
  if (a.kind == ArtefactKind::plate) {
    for (const double s : {-0.5, 0.5})
      for (const double t : {-0.5, 0.5})
        out.push_back(pose * Vec3(s * a.length_mm, t * a.width_mm, 0));
    return out;
  }
  for (std::size_t i = 0; i < body.centers.size(); ++i) {
    const Vec3 c = pose * body.centers[i];
    for (const Vec3& n : cap(-c.normalized(), kCapDeg)) out.push_back(c + body.radii[i] * n);
  }
  return out;
}

// Moves the pose inwards; true when everything fits.
bool push_inside(const ArtefactBody& body, const Volume& volume, RigidTransform& pose) {
  for (int i = 0; i < kPushes; ++i) {
    Vec3 push = Vec3::Zero();
    for (const Vec3& p : touches(body, pose)) {
      const Vec3 n = volume.normalized(p);
      const double t = std::clamp((n.z() + 1) / 2, 0.0, 1.0);
      const Vec3 half(0.5 * (volume.near_width + t * (volume.far_width - volume.near_width)),
                      0.5 * (volume.near_height + t * (volume.far_height - volume.near_height)),
                      0.5 * (volume.far_mm - volume.near_mm));
      for (int axis = 0; axis < 3; ++axis) {
        const double over = (std::abs(n[axis]) - 1) * half[axis] + kMargin;
        const double move = n[axis] > 0 ? -over : over;
        if (over > 0 && std::abs(move) > std::abs(push[axis])) push[axis] = move;
      }
    }
    if (push.norm() < 1e-9) return true;
    pose.translation += push;
  }
  return false;
}

// Share of the caps that both cameras and the projector see, the artefact alone in the scene.
double seen_share(const ArtefactBody& body, const RigidTransform& pose, const StereoRig& rig) {
  VirtualScene scene;
  place(body, pose, body.certificate.reference_C, scene);
  const std::vector<Vec3> eyes{rig.cameras[0].center(), rig.cameras[1].center(), rig.projector_mm};
  int all = 0, seen = 0;
  for (std::size_t b = 0; b < scene.balls.size(); ++b) {
    const Sphere& s = scene.balls[b].sphere;
    const Vec3 axis =
        ((eyes[0] - s.center).normalized() + (eyes[1] - s.center).normalized()).normalized();
    for (const Vec3& n : cap(axis, kCapDeg)) {
      const Vec3 p = s.center + s.radius * n;
      ++all;
      seen += std::ranges::all_of(eyes, [&](const Vec3& eye) {
        return n.dot((eye - p).normalized()) > kLeastCosine &&
               scene.sees(p, static_cast<int>(b), eye);
      });
      if (const auto px = rig.cameras[1].project(p); !px || !rig.cameras[1].in_image(*px)) --seen;
      if (const auto px = rig.cameras[0].project(p); !px || !rig.cameras[0].in_image(*px)) --seen;
    }
  }
  return all ? static_cast<double>(seen) / all : 1;
}

struct Fitted {
  RigidTransform pose;
  bool ok = false;
  double off_deg = 180;  // from the planned direction
};

// A bar is set up with its first ball to the left (of one upright: above; along the view: near).
Vec3 left_to_right(const Vec3& d) {
  for (int axis = 0; axis < 3; ++axis)
    if (std::abs(d[axis]) > 0.2 * d.norm()) return d[axis] < 0 ? Vec3(-d) : d;
  return d;
}

Vec3 scaled_direction(const PlannedPosition& p, const Volume& v) {
  if (!p.direction) return p.kind == ArtefactKind::plate ? Vec3(0, 0, -1) : Vec3(1, 0, 0);
  const Vec3 d((*p.direction)[0], (*p.direction)[1], (*p.direction)[2]);
  if (p.kind == ArtefactKind::plate) return d.normalized();
  // A bar's direction is planned in the normalised volume, so that a diagonal is a diagonal.
  const Vec3 size(0.5 * (v.near_width + v.far_width),
                  0.5 * (v.near_height + v.far_height),
                  v.far_mm - v.near_mm);
  return d.cwiseProduct(size).normalized();
}

Fitted fit(const PlannedPosition& planned,
           const ArtefactBody& body,
           const Vec3& center,
           const Volume& volume,
           const StereoRig& rig) {
  const Vec3 wanted = scaled_direction(planned, volume);
  Fitted best;
  for (int i = 0; i <= kLeans; ++i) {
    Vec3 direction = wanted;
    // Leaning less in depth, or tilting a plate less, until it fits and is seen. A bar that points
    // straight away leans upwards: its near ball must not hide the far one.
    const double less = static_cast<double>(i) / kLeans;
    if (planned.kind == ArtefactKind::bar) {
      if (std::hypot(direction.x(), direction.y()) < 0.05) direction.y() = -0.05;
      direction = Vec3(direction.x() * (1 + 6 * less),
                       direction.y() * (1 + 6 * less),
                       direction.z() * (1 - less))
                      .normalized();
    } else if (planned.kind == ArtefactKind::plate) {
      direction =
          Vec3(direction.x() * (1 - less), direction.y() * (1 - less), direction.z()).normalized();
    } else if (i > 0) {
      break;
    }
    RigidTransform pose =
        pose_at(planned.kind,
                center,
                planned.kind == ArtefactKind::bar ? left_to_right(direction) : direction);
    if (!push_inside(body, volume, pose) || seen_share(body, pose, rig) < kSeenShare) continue;
    const double cosine = std::min(1.0, std::abs(direction.dot(wanted)));
    return {pose, true, std::acos(cosine) * 180 / std::numbers::pi};
  }
  return best;
}

}  // namespace

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

double reaches_out(const ArtefactBody& body, const RigidTransform& pose, const Volume& volume) {
  double out = 0;
  for (const Vec3& p : touches(body, pose)) out = std::max(out, volume.outside_by(p));
  return out;
}

std::vector<Placement> arrange(const std::vector<PlannedPosition>& plan,
                               const std::vector<ArtefactBody>& bodies,
                               const Volume& volume,
                               const StereoRig& rig,
                               const Chance& chance) {
  std::vector<Placement> out;
  for (std::size_t i = 0; i < plan.size(); ++i) {
    const PlannedPosition& p = plan[i];
    const Chance here = chance.stream(i);
    const Vec3 shake(here.uniform(0, -1, 1), here.uniform(1, -1, 1), here.uniform(2, -1, 1));
    const auto repeated = std::ranges::find(out, p.repeats, &Placement::position);
    if (p.closing && repeated != out.end()) {
      Placement again = *repeated;
      again.position = p.id;
      again.pose.translation += 0.3 * shake;
      out.push_back(again);
      continue;
    }
    const Vec3 n(p.center[0] + 0.01 * shake.x(),
                 p.center[1] + 0.01 * shake.y(),
                 p.center[2] + 0.01 * shake.z());
    const Vec3 center = volume.from_normalized(n);
    Fitted best;
    const ArtefactBody* chosen = nullptr;
    for (const ArtefactBody& body : bodies) {
      if (body.certificate.kind != p.kind) continue;
      const Fitted f = fit(p, body, center, volume, rig);
      if (!f.ok || (chosen && best.off_deg <= std::max(f.off_deg, kPlannedDeg))) continue;
      best = f;
      chosen = &body;
    }
    if (!chosen) continue;
    out.push_back({p.id, chosen->certificate.serial, best.pose, p.place});
  }
  return out;
}

}  // namespace rigproof
