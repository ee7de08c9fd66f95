#pragma once

#include <array>
#include <cstdint>
#include <memory>

#include "geometry/points.h"
#include "geometry/shapes.h"

namespace rigproof::bench {

/// In which order the points stand in the file.
enum class Order {
  raster,    ///< row by row of the sensor's image, as scanners export: neighbours lie together
  shuffled,  ///< every block of the file holds points from everywhere: the worst case
};

struct BigSceneOptions {
  std::uint64_t points = 20'000'000;
  std::uint64_t seed = 1;
  Order order = Order::raster;
  double noise_mm = 0.020;       ///< standard deviation along the surface normal
  double outlier_share = 0.003;  ///< points moved along their ray by up to ± 30 mm
};

/// A bar of two 30 mm balls 250 mm apart, on stems, a beam and a post, before a wall and above a
/// table with boxes, cylinders, a knob and cables on it, seen by a pinhole sensor at the origin
/// that looks along +Z: one ray a point, the nearest surface counts. Every surface is intersected
/// in closed form, so that a ball is a ball and not a mesh. The same (points, seed) gives the same
/// points whatever the threads.
class BigScene {
 public:
  static constexpr double kDistance = 250, kDiameter = 30;

  explicit BigScene(const BigSceneOptions& options);
  ~BigScene();

  /// True centres. Their distance is kDistance.
  const std::array<Sphere, 2>& balls() const { return balls_; }
  /// Point `index` of the file, mm in the sensor frame.
  Vec3 point(std::uint64_t index) const;

 private:
  struct Parts;

  BigSceneOptions options_;
  std::array<Sphere, 2> balls_;
  std::unique_ptr<Parts> parts_;
};

}  // namespace rigproof::bench
