#include "simulate/virtual_scene.h"

namespace rigproof {
namespace {

// Body numbers run over balls, rods, plates, then the mesh as a whole.
template <typename Bodies>
void meet_all(const Bodies& bodies, const Ray& ray, int first, int except, Hit& hit) {
  for (std::size_t i = 0; i < bodies.size(); ++i) {
    const int body = first + static_cast<int>(i);
    if (body == except) continue;
    const double before = hit.t;
    meet(bodies[i], ray, 0, hit);
    if (hit.t < before) hit.body = body;
  }
}

Hit nearest(const VirtualScene& scene, const Ray& ray, int except, double within) {
  Hit hit;
  hit.t = within;
  int first = 0;
  meet_all(scene.balls, ray, first, except, hit);
  first += static_cast<int>(scene.balls.size());
  meet_all(scene.rods, ray, first, except, hit);
  first += static_cast<int>(scene.rods.size());
  meet_all(scene.plates, ray, first, except, hit);
  first += static_cast<int>(scene.plates.size());
  const double before = hit.t;
  scene.mesh.meet(ray, except == first ? 0.05 : 0, hit);
  if (hit.t < before) hit.body = first;
  return hit;
}

}  // namespace

Hit VirtualScene::cast(const Ray& ray) const { return nearest(*this, ray, -1, 1e300); }

bool VirtualScene::sees(const Vec3& point, int body, const Vec3& target) const {
  const Vec3 way = target - point;
  const double length = way.norm();
  return nearest(*this, {point, way / length}, body, length).body < 0;
}

}  // namespace rigproof
