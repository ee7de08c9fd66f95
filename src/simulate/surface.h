#pragma once

#include <optional>
#include <vector>

#include "optics/camera.h"

namespace rigproof {

/// Where a ray meets a surface. `normal` is a unit vector out of the body.
struct Hit {
  double t = 1e300;  ///< distance along the unit ray, mm
  Vec3 normal = Vec3::UnitZ();
  int body = -1;     ///< index of the body in its scene
  int feature = -1;  ///< the ball or plate of an artefact; −1: rod, stem, clutter
};

/// Form error of a ball as low zonal and one tesseral harmonic of the unit normal m in the ball's
/// own axes: c2 (3m_z² − 1)/2 + c3 m_z (5m_z² − 3)/2 + c22 2 m_x m_y. mm
struct BallForm {
  double c2 = 0, c3 = 0, c22 = 0;
  Mat3 to_ball = Mat3::Identity();  ///< sensor frame → the ball's axes

  double at(const Vec3& normal) const;
  Vec3 slope(const Vec3& normal) const;  ///< gradient with respect to the normal, tangential part
  bool none() const { return c2 == 0 && c3 == 0 && c22 == 0; }
};

struct BallBody {
  Sphere sphere;
  BallForm form;
  int feature = -1;
};

/// A round bar with flat ends.
struct RodBody {
  Vec3 from = Vec3::Zero(), to = Vec3::Zero();
  double radius = 1;
};

/// A rectangular plate. Its face looks along `plane.normal` and stands proud by
/// bow·(1 − (s² + t²)/2) + twist·s·t at s = u/half_u, t = v/half_v; the body lies behind.
struct PlateBody {
  Plane plane;
  Vec3 u = Vec3::UnitX(), v = Vec3::UnitY();  ///< right-handed: u × v = ± normal
  double half_u = 1, half_v = 1, thickness = 1;
  double bow = 0, twist = 0;
  int feature = -1;

  double height(double along_u, double along_v) const;
};

/// Nearest hit beyond `least` and nearer than `hit.t` replaces `hit`. All in double, no
/// tessellation.
void meet(const BallBody& body, const Ray& ray, double least, Hit& hit);
void meet(const RodBody& body, const Ray& ray, double least, Hit& hit);
void meet(const PlateBody& body, const Ray& ray, double least, Hit& hit);

}  // namespace rigproof
