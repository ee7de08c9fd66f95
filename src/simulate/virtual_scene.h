#pragma once

#include <vector>

#include "simulate/mesh_scene.h"
#include "simulate/surface.h"

namespace rigproof {

/// Everything that stands before the rig in one scan.
struct VirtualScene {
  std::vector<BallBody> balls;
  std::vector<RodBody> rods;
  std::vector<PlateBody> plates;  ///< artefact plates and the table
  MeshScene mesh{TriangleMesh{}};

  /// Nearest surface along the ray; Hit::body is −1 when there is none.
  Hit cast(const Ray& ray) const;
  /// Whether the straight way from a hit to `target` is free. The body that was hit hides nothing
  /// from itself beyond its own horizon (all bodies are convex).
  bool sees(const Vec3& point, int body, const Vec3& target) const;
};

}  // namespace rigproof
