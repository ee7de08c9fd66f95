#pragma once

#include "geometry/shapes.h"

namespace rigproof {

/// The way of a file value v to the sensor frame: rotation · (base + unit · v) + translation, in
/// double. What comes before the rotation is called file mm.
struct Delivery {
  double unit = 1;
  Vec3 base = Vec3::Zero();
  RigidTransform to_sensor;
  bool turned = false;  ///< to_sensor is not the identity

  Vec3 file_mm(double x, double y, double z) const {
    return {base.x() + unit * x, base.y() + unit * y, base.z() + unit * z};
  }
  Vec3 sensor(double x, double y, double z) const {
    const Vec3 p = file_mm(x, y, z);
    return turned ? to_sensor * p : p;
  }
  /// Where file mm `origin` lies in the sensor frame, the origin of points given by local().
  Vec3 sensor_origin(const Vec3& origin) const { return turned ? to_sensor * origin : origin; }
  /// Relative to sensor_origin(origin): the difference is taken before the rotation, so that
  /// nothing is lost far from zero.
  Vec3 local(double x, double y, double z, const Vec3& origin) const {
    const Vec3 d(unit * x + (base.x() - origin.x()),
                 unit * y + (base.y() - origin.y()),
                 unit * z + (base.z() - origin.z()));
    return turned ? Vec3(to_sensor.rotation * d) : d;
  }
};

/// `middle` rounded to few binary digits in steps of about `size` / 16, so that subtracting it from
/// a coordinate of the file is exact in double wherever it can be.
Vec3 round_origin(const Vec3& middle, double size);

}  // namespace rigproof
