#include "simulate/surface.h"

#include <cmath>

#include <Eigen/Geometry>
#include <gtest/gtest.h>

#include "simulate/artefact_body.h"
#include "simulate/virtual_scene.h"

namespace rigproof {
namespace {

Ray towards(const Vec3& from, const Vec3& to) { return {from, (to - from).normalized()}; }

TEST(BallBody, HitsLieOnTheFormError) {
  BallBody ball;
  ball.sphere = {{10, -5, 600}, 15};
  ball.form.c2 = 0.03;
  ball.form.c3 = -0.02;
  ball.form.c22 = 0.01;
  ball.form.to_ball = Eigen::AngleAxisd(0.7, Vec3(1, 2, 3).normalized()).toRotationMatrix();
  for (const double x : {-9.0, 0.0, 7.0})
    for (const double y : {-8.0, 3.0}) {
      Hit hit;
      const Ray ray = towards({-150, 0, 0}, ball.sphere.center + Vec3(x, y, 0));
      meet(ball, ray, 0, hit);
      ASSERT_LT(hit.t, 1e9);
      const Vec3 d = ray.at(hit.t) - ball.sphere.center;
      EXPECT_NEAR(d.norm(), 15 + ball.form.at(d.normalized()), 1e-10);
      // The normal against a finite difference of the implicit surface.
      const auto level = [&](const Vec3& p) {
        const Vec3 q = p - ball.sphere.center;
        return q.norm() - 15 - ball.form.at(q.normalized());
      };
      const Vec3 p = ray.at(hit.t);
      Vec3 gradient;
      for (int i = 0; i < 3; ++i)
        gradient[i] = (level(p + 1e-4 * Vec3::Unit(i)) - level(p - 1e-4 * Vec3::Unit(i))) / 2e-4;
      // The normal serves visibility and incidence; it is right to the square of form over radius.
      EXPECT_LT((gradient.normalized() - hit.normal).norm(), 5 * (0.06 / 15) * (0.06 / 15));
    }
}

TEST(BallBody, MissesBeside) {
  Hit hit;
  meet(BallBody{{{0, 0, 600}, 15}, {}, 0}, towards({0, 0, 0}, {16, 0, 600}), 0, hit);
  EXPECT_GT(hit.t, 1e9);
}

TEST(RodBody, HitsSideAndEnd) {
  const RodBody rod{{-20, 0, 500}, {20, 0, 500}, 4};
  Hit side, end, beside;
  meet(rod, towards({0, 0, 0}, {10, 2, 500}), 0, side);
  const Vec3 p = towards({0, 0, 0}, {10, 2, 500}).at(side.t);
  EXPECT_NEAR(std::hypot(p.y(), p.z() - 500), 4, 1e-10);
  EXPECT_NEAR(side.normal.x(), 0, 1e-12);
  const Ray along{{-100, 1, 501}, Vec3(1, 0, 0)};
  meet(rod, along, 0, end);
  EXPECT_NEAR(along.at(end.t).x(), -20, 1e-10);
  EXPECT_LT((end.normal + Vec3::UnitX()).norm(), 1e-12);
  meet(rod, {{-100, 5, 500}, Vec3(1, 0, 0)}, 0, beside);
  EXPECT_GT(beside.t, 1e9);
}

TEST(PlateBody, FaceFollowsBowAndTwistAndSidesBound) {
  PlateBody plate;
  plate.plane = {{0, 0, 600}, -Vec3::UnitZ()};
  plate.half_u = 100;
  plate.half_v = 70;
  plate.thickness = 12;
  plate.bow = 0.05;
  plate.twist = 0.02;
  plate.feature = 3;
  Hit hit;
  const Ray ray = towards({-150, 0, 0}, {40, -30, 600});
  meet(plate, ray, 0, hit);
  EXPECT_EQ(hit.feature, 3);
  const Vec3 p = ray.at(hit.t);
  EXPECT_NEAR(600 - p.z(), plate.height(p.x(), p.y()), 1e-12);
  Hit beside;
  meet(plate, towards({0, 0, 0}, {0, 71, 600}), 0, beside);
  EXPECT_GT(beside.t, 1e9);
  // From the side one sees the rim, which is no feature.
  Hit rim;
  meet(plate, {{300, 0, 606}, -Vec3::UnitX()}, 0, rim);
  EXPECT_NEAR(rim.t, 200, 1e-9);
  EXPECT_EQ(rim.feature, -1);
}

TEST(VirtualScene, BodiesHideEachOtherButNotThemselves) {
  VirtualScene scene;
  scene.balls.push_back({{{0, 0, 600}, 15}, {}, 0});
  scene.balls.push_back({{{0, 0, 550}, 10}, {}, 1});
  const Hit near = scene.cast(towards({0, 0, 0}, {0, 0, 600}));
  EXPECT_EQ(near.body, 1);
  EXPECT_FALSE(scene.sees({0, 0, 585}, 0, {0, 0, 0}));
  EXPECT_TRUE(scene.sees({0, 0, 540}, 1, {0, 0, 0}));
  EXPECT_TRUE(scene.sees({0, 0, 585}, 0, {-400, 0, 300}));
}

// A box as twelve triangles against the same box met analytically as a plate.
TEST(MeshScene, AgreesWithAnAnalyticBox) {
  RigidTransform pose;
  pose.rotation = Eigen::AngleAxisd(0.4, Vec3(0.2, 1, 0.1).normalized()).toRotationMatrix();
  pose.translation = {5, -3, 620};
  TriangleMesh mesh;
  mesh.add_box(pose, {60, 40, 20});
  const MeshScene scene(std::move(mesh));
  PlateBody box;
  box.u = pose.rotation.col(0);
  box.v = pose.rotation.col(1);
  box.plane.normal = -pose.rotation.col(2);
  box.plane.point = pose * Vec3(0, 0, -10);
  box.half_u = 30;
  box.half_v = 20;
  box.thickness = 20;
  int met = 0;
  for (double x = -60; x <= 60; x += 7)
    for (double y = -50; y <= 50; y += 7) {
      const Ray ray = towards({-150, 0, 0}, {x, y, 620});
      Hit a, b;
      meet(box, ray, 0, a);
      scene.meet(ray, 0, b);
      ASSERT_EQ(a.t < 1e9, b.t < 1e9);
      if (a.t > 1e9) continue;
      ++met;
      EXPECT_NEAR(a.t, b.t, 1e-9);
      EXPECT_LT((a.normal - b.normal).norm(), 1e-9);
    }
  EXPECT_GT(met, 20);
}

TEST(MeshScene, PrismIsClosedAndLooksOutwards) {
  TriangleMesh mesh;
  RigidTransform pose;
  pose.translation = {0, 0, 600};
  mesh.add_prism(pose, 20, 10, 6);
  double volume = 0;  // by the divergence theorem: positive when wound outwards
  for (const auto& t : mesh.triangles)
    volume += (mesh.vertices[t[0]] - pose.translation)
                  .dot((mesh.vertices[t[1]] - pose.translation)
                           .cross(mesh.vertices[t[2]] - pose.translation)) /
              6;
  EXPECT_NEAR(volume, 1.5 * std::sqrt(3.0) * 20 * 20 * 10, 1e-6);
}

Artefact bar() {
  Artefact a;
  a.kind = ArtefactKind::bar;
  a.serial = "b";
  a.balls = {{"A", {30, 0.001}, 0.0004}, {"B", {30, 0.001}, 0.0004}};
  a.distances = {{"A", "B", {250, 0.002}}};
  return a;
}

TEST(ArtefactBody, TruthStaysWithinTheCertificate) {
  double spread = 0;
  for (std::uint64_t seed = 0; seed < 200; ++seed) {
    const ArtefactBody b = make_body(bar(), Chance(seed), false);
    const double off = b.distance(0, 1, 20) - 250;
    EXPECT_LE(std::abs(off), 0.002 + 1e-12);
    EXPECT_LE(std::abs(2 * b.radii[0] - 30), 0.001 + 1e-12);
    EXPECT_LE(std::abs(b.alpha_per_K - 11.5e-6), 1e-6 + 1e-12);
    spread += off * off / 200;
  }
  EXPECT_NEAR(std::sqrt(spread), 0.001, 0.0002);  // U/k, a little less by the bound
  const ArtefactBody ideal = make_body(bar(), Chance(1), true);
  EXPECT_EQ(ideal.distance(0, 1, 20), 250);
  EXPECT_NEAR(ideal.distance(0, 1, 23), 250 + 250 * 3 * 11.5e-6, 1e-12);
}

TEST(ArtefactBody, BallPlateFromItsDistances) {
  Artefact a = bar();
  a.balls.push_back({"C", {30, 0.001}, 0});
  a.balls.push_back({"D", {30, 0.001}, 0});
  const Vec3 where[4] = {{0, 0, 0}, {200, 0, 0}, {200, 120, 0}, {0, 130, 0}};
  a.distances.clear();
  for (int i = 0; i < 4; ++i)
    for (int j = i + 1; j < 4; ++j)
      a.distances.push_back({std::string(1, static_cast<char>('A' + i)),
                             std::string(1, static_cast<char>('A' + j)),
                             {(where[i] - where[j]).norm(), 0.001}});
  const ArtefactBody b = make_body(a, Chance(1), true);
  for (int i = 0; i < 4; ++i)
    for (int j = i + 1; j < 4; ++j)
      EXPECT_NEAR(b.distance(i, j, 20), (where[i] - where[j]).norm(), 1e-9);
  a.distances.pop_back();
  EXPECT_ANY_THROW(make_body(a, Chance(1), true));
}

}  // namespace
}  // namespace rigproof
