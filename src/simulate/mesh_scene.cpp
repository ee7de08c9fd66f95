#include "simulate/mesh_scene.h"

#include <cmath>
#include <limits>
#include <numbers>

#include <Eigen/Geometry>
#include <embree3/rtcore.h>

#include "base/error.h"

namespace rigproof {

void TriangleMesh::add_box(const RigidTransform& pose, const Vec3& size) {
  const auto first = static_cast<std::uint32_t>(vertices.size());
  for (int i = 0; i < 8; ++i)
    vertices.push_back(pose * Vec3(size.x() * ((i & 1) - 0.5),
                                   size.y() * (((i >> 1) & 1) - 0.5),
                                   size.z() * (((i >> 2) & 1) - 0.5)));
  static constexpr std::array<std::array<std::uint32_t, 4>, 6> kFaces{
      {{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}}};
  for (const auto& f : kFaces) {
    triangles.push_back({first + f[0], first + f[1], first + f[2]});
    triangles.push_back({first + f[0], first + f[2], first + f[3]});
  }
}

void TriangleMesh::add_prism(const RigidTransform& pose, double radius, double height, int sides) {
  const auto first = static_cast<std::uint32_t>(vertices.size());
  const auto n = static_cast<std::uint32_t>(sides);
  for (int end = 0; end < 2; ++end)
    for (int i = 0; i < sides; ++i) {
      const double phi = 2 * std::numbers::pi * i / sides;
      vertices.push_back(
          pose * Vec3(radius * std::cos(phi), radius * std::sin(phi), height * (end - 0.5)));
    }
  for (std::uint32_t i = 0; i < n; ++i) {
    const std::uint32_t a = first + i, b = first + (i + 1) % n;
    triangles.push_back({a, b, b + n});
    triangles.push_back({a, b + n, a + n});
    if (i > 0 && i + 1 < n) {
      triangles.push_back({first, b, a});
      triangles.push_back({first + n, a + n, b + n});
    }
  }
}

struct MeshScene::State {
  TriangleMesh mesh;
  RTCDevice device = nullptr;
  RTCScene scene = nullptr;

  ~State() {
    if (scene) rtcReleaseScene(scene);
    if (device) rtcReleaseDevice(device);
  }
};

MeshScene::MeshScene(TriangleMesh mesh) : state_(std::make_unique<State>()) {
  State& s = *state_;
  s.mesh = std::move(mesh);
  if (s.mesh.triangles.empty()) return;
  s.device = rtcNewDevice("threads=1");
  if (!s.device) throw Error(ErrorKind::internal, "the ray-tracing library gives no device");
  s.scene = rtcNewScene(s.device);
  rtcSetSceneFlags(s.scene, RTC_SCENE_FLAG_ROBUST);
  RTCGeometry geometry = rtcNewGeometry(s.device, RTC_GEOMETRY_TYPE_TRIANGLE);
  auto* vertex = static_cast<float*>(rtcSetNewGeometryBuffer(geometry,
                                                             RTC_BUFFER_TYPE_VERTEX,
                                                             0,
                                                             RTC_FORMAT_FLOAT3,
                                                             3 * sizeof(float),
                                                             s.mesh.vertices.size()));
  auto* index = static_cast<std::uint32_t*>(rtcSetNewGeometryBuffer(geometry,
                                                                    RTC_BUFFER_TYPE_INDEX,
                                                                    0,
                                                                    RTC_FORMAT_UINT3,
                                                                    3 * sizeof(std::uint32_t),
                                                                    s.mesh.triangles.size()));
  if (!vertex || !index) throw Error(ErrorKind::internal, "the ray-tracing library has no memory");
  for (const Vec3& v : s.mesh.vertices)
    for (int i = 0; i < 3; ++i) *vertex++ = static_cast<float>(v[i]);
  for (const auto& t : s.mesh.triangles)
    for (const std::uint32_t i : t) *index++ = i;
  rtcCommitGeometry(geometry);
  rtcAttachGeometry(s.scene, geometry);
  rtcReleaseGeometry(geometry);
  rtcCommitScene(s.scene);
}

MeshScene::~MeshScene() = default;
MeshScene::MeshScene(MeshScene&&) noexcept = default;
MeshScene& MeshScene::operator=(MeshScene&&) noexcept = default;

void MeshScene::meet(const Ray& ray, double least, Hit& hit) const {
  const State& s = *state_;
  if (!s.scene) return;
  RTCRayHit query{};
  query.ray.org_x = static_cast<float>(ray.origin.x());
  query.ray.org_y = static_cast<float>(ray.origin.y());
  query.ray.org_z = static_cast<float>(ray.origin.z());
  query.ray.dir_x = static_cast<float>(ray.direction.x());
  query.ray.dir_y = static_cast<float>(ray.direction.y());
  query.ray.dir_z = static_cast<float>(ray.direction.z());
  // Float rounding at working distance is some 1e-4 mm; a shadow ray must not meet its own start.
  query.ray.tnear = static_cast<float>(least > 0 ? least + 0.01 : 0);
  query.ray.tfar =
      hit.t < 1e30 ? static_cast<float>(hit.t) : std::numeric_limits<float>::infinity();
  query.ray.mask = 0xFFFFFFFFu;
  query.hit.geomID = RTC_INVALID_GEOMETRY_ID;
  RTCIntersectContext context;
  rtcInitIntersectContext(&context);
  rtcIntersect1(s.scene, &context, &query);
  if (query.hit.geomID == RTC_INVALID_GEOMETRY_ID) return;
  const auto& t = s.mesh.triangles[query.hit.primID];
  const Vec3& a = s.mesh.vertices[t[0]];
  const Vec3 n = (s.mesh.vertices[t[1]] - a).cross(s.mesh.vertices[t[2]] - a).normalized();
  const double slope = n.dot(ray.direction);
  if (std::abs(slope) < 1e-9) return;
  hit.t = n.dot(a - ray.origin) / slope;
  hit.normal = slope < 0 ? n : Vec3(-n);
  hit.feature = -1;
}

}  // namespace rigproof
