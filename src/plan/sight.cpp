#include "plan/sight.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Geometry>

#include "diagnose/signature.h"

namespace rigproof {
namespace {

constexpr double kLeastCosine = 0.18;  // of incidence
// What carries balls, in their radii; common practice: stems behind, joined by a rod.
constexpr double kRod = 0.5, kRodBehind = 1.9;
constexpr int kPlateGrid = 5;

struct Segment {
  Vec3 from, to;
};

// Shortest distance of two segments (C. Ericson, Real-Time Collision Detection, 2005, 5.1.9).
double distance(const Segment& a, const Segment& b) {
  const Vec3 u = a.to - a.from, v = b.to - b.from, w = a.from - b.from;
  const double uu = u.dot(u), vv = v.dot(v), uv = u.dot(v), uw = u.dot(w), vw = v.dot(w);
  const double det = uu * vv - uv * uv;
  double s = det > 1e-12 * uu * vv ? std::clamp((uv * vw - vv * uw) / det, 0.0, 1.0) : 0;
  double t = vv > 0 ? (uv * s + vw) / vv : 0;
  if (vv <= 0 || t < 0 || t > 1) {  // a point, or beyond an end
    t = std::clamp(t, 0.0, 1.0);
    s = uu > 0 ? std::clamp((uv * t - uw) / uu, 0.0, 1.0) : 0;
  }
  return (w + s * u - t * v).norm();
}

struct Scene {
  std::vector<Sphere> balls;
  std::vector<Segment> rods;
  double rod_radius = 0;

  bool blocks(const Vec3& p, std::size_t own, const Vec3& eye) const {
    const Segment sight{p, eye};
    for (std::size_t b = 0; b < balls.size(); ++b)
      if (b != own && distance(sight, {balls[b].center, balls[b].center}) < balls[b].radius)
        return true;
    return std::ranges::any_of(
        rods, [&](const Segment& rod) { return distance(sight, rod) < rod_radius; });
  }
};

Scene scene_of(const ArtefactShape& shape, const RigidTransform& pose) {
  Scene scene;
  double largest = 0;
  for (std::size_t i = 0; i < shape.centers.size(); ++i) {
    scene.balls.push_back({pose * shape.centers[i], shape.radii[i]});
    largest = std::max(largest, shape.radii[i]);
  }
  const Vec3 behind = kRodBehind * largest * pose.rotation.col(2);
  for (std::size_t i = 1; i < scene.balls.size(); ++i)
    scene.rods.push_back({scene.balls[0].center + behind, scene.balls[i].center + behind});
  scene.rod_radius = kRod * largest;
  return scene;
}

bool in_images(const Vec3& p, const Eyes& eyes) {
  return std::ranges::all_of(eyes.cameras, [&](const Camera& camera) {
    const auto px = camera.project(p);
    return px && camera.in_image(*px);
  });
}

bool faces_all(const Vec3& p, const Vec3& normal, const Eyes& eyes) {
  return std::ranges::all_of(eyes.centers, [&](const Vec3& eye) {
    return normal.dot((eye - p).normalized()) > kLeastCosine;
  });
}

double plate_share(const ArtefactShape& shape, const RigidTransform& pose, const Eyes& eyes) {
  int seen = 0;
  for (int i = 0; i < kPlateGrid; ++i)
    for (int j = 0; j < kPlateGrid; ++j) {
      const Vec3 p = pose * Vec3((i / (kPlateGrid - 1.0) - 0.5) * shape.artefact->length_mm,
                                 (j / (kPlateGrid - 1.0) - 0.5) * shape.artefact->width_mm,
                                 0);
      seen += faces_all(p, -pose.rotation.col(2), eyes) && in_images(p, eyes);
    }
  return static_cast<double>(seen) / (kPlateGrid * kPlateGrid);
}

}  // namespace

Vec3 Eyes::cap_axis(const Vec3& p) const {
  Vec3 sum = Vec3::Zero();
  if (cameras.empty()) return -p.normalized();
  for (const Camera& c : cameras) sum += (c.center() - p).normalized();
  return sum.normalized();
}

Eyes eyes_of(const Rig& rig, const Field& field) {
  const auto pictured = pictured_rig(rig, &field);
  if (!pictured) return {{Vec3::Zero()}, {}};
  const StereoRig& stereo = pictured->rig;
  return {{stereo.cameras[0].center(), stereo.cameras[1].center(), stereo.projector_mm},
          {stereo.cameras[0], stereo.cameras[1]}};
}

double seen_share(const ArtefactShape& shape,
                  const RigidTransform& pose,
                  const Eyes& eyes,
                  double cap_half_angle_deg) {
  if (shape.kind() == ArtefactKind::plate) return plate_share(shape, pose, eyes);
  const Scene scene = scene_of(shape, pose);
  double least = 1;
  for (std::size_t b = 0; b < scene.balls.size(); ++b) {
    const Sphere& s = scene.balls[b];
    int all = 0, seen = 0;
    for (const Vec3& n : cap_directions(eyes.cap_axis(s.center), cap_half_angle_deg)) {
      const Vec3 p = s.center + s.radius * n;
      ++all;
      seen += faces_all(p, n, eyes) && in_images(p, eyes) &&
              std::ranges::none_of(eyes.centers,
                                   [&](const Vec3& eye) { return scene.blocks(p, b, eye); });
    }
    least = std::min(least, static_cast<double>(seen) / all);
  }
  return least;
}

}  // namespace rigproof
