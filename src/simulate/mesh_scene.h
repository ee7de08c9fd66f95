#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <vector>

#include "simulate/surface.h"

namespace rigproof {

/// Triangles in mm, sensor frame; wound anticlockwise as seen from outside.
struct TriangleMesh {
  std::vector<Vec3> vertices;
  std::vector<std::array<std::uint32_t, 3>> triangles;

  void add_box(const RigidTransform& pose, const Vec3& size);
  /// A prism over a regular polygon, its axis the pose's Z, centred.
  void add_prism(const RigidTransform& pose, double radius, double height, int sides);
};

/// Ray casting against clutter and holders. The triangle is found in float by the ray-tracing
/// library, the place on it computed again in double.
class MeshScene {
 public:
  explicit MeshScene(TriangleMesh mesh);
  ~MeshScene();
  MeshScene(MeshScene&&) noexcept;
  MeshScene& operator=(MeshScene&&) noexcept;

  /// As meet() of surface.h. Safe from several threads.
  void meet(const Ray& ray, double least, Hit& hit) const;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace rigproof
