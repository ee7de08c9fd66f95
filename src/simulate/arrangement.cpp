#include "simulate/arrangement.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace rigproof {
namespace {

constexpr double kMargin = 1.5;        // mm inside the volume
constexpr double kCapDeg = 60.5;       // seen whole: a little more than the usual cap
constexpr double kSeenShare = 0.97;    // of a cap's sample directions
constexpr double kLeastCosine = 0.18;  // of incidence
constexpr int kLeans = 40;
constexpr double kPlannedDeg = 5;

ArtefactShape shape_of(const ArtefactBody& body) {
  return {&body.certificate, body.centers, body.radii};
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
    for (const Vec3& n : cap_directions(axis, kCapDeg)) {
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

Vec3 wanted_direction(const PlannedPosition& p, const Volume& v) {
  if (!p.direction) return p.kind == ArtefactKind::plate ? Vec3(0, 0, -1) : Vec3(1, 0, 0);
  return direction_in(v, p.kind, *p.direction);
}

Fitted fit(const PlannedPosition& planned,
           const ArtefactBody& body,
           const Vec3& center,
           const Volume& volume,
           const StereoRig& rig) {
  const Vec3 wanted = wanted_direction(planned, volume);
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
    if (!push_inside(shape_of(body), volume, kCapDeg, kMargin, pose) ||
        seen_share(body, pose, rig) < kSeenShare)
      continue;
    const double cosine = std::min(1.0, std::abs(direction.dot(wanted)));
    return {pose, true, std::acos(cosine) * 180 / std::numbers::pi};
  }
  return best;
}

}  // namespace

double reaches_out(const ArtefactBody& body, const RigidTransform& pose, const Volume& volume) {
  double out = 0;
  for (const Vec3& p : touches(shape_of(body), pose, kCapDeg))
    out = std::max(out, volume.outside_by(p));
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
