#include "simulate/artefact_body.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <Eigen/Geometry>

#include "inputs/ball_layout.h"

namespace rigproof {
namespace {

constexpr double kPlateThickness = 12;                                     // mm
constexpr double kStem = 0.35, kRod = 0.5, kRodBehind = 1.9, kPost = 2.2;  // in ball radii

// Within the expanded uncertainty, which covers the truth by definition of a good certificate.
double true_size(const Calibrated& c, double k, const Chance& chance, std::uint64_t index) {
  return c.mm + std::clamp(chance.normal(index) * c.U_mm / k, -c.U_mm, c.U_mm);
}

Mat3 any_rotation(const Chance& chance, std::uint64_t index) {
  const Vec3 axis(chance.normal(index), chance.normal(index + 1), chance.normal(index + 2));
  const double angle = chance.uniform(index + 3, 0, 2 * std::numbers::pi);
  return Eigen::AngleAxisd(angle, axis.normalized()).toRotationMatrix();
}

// Peak to valley over the whole sphere, from a fine set of directions.
double range(const BallForm& form) {
  double lo = 1e300, hi = -1e300;
  constexpr int kDirections = 4000;
  for (int i = 0; i < kDirections; ++i) {
    const double z = 1 - (2 * i + 1.0) / kDirections, phi = 2.399963229728653 * i;
    const double s = std::sqrt(1 - z * z);
    const double h = form.at({s * std::cos(phi), s * std::sin(phi), z});
    lo = std::min(lo, h);
    hi = std::max(hi, h);
  }
  return hi - lo;
}

BallForm make_form(double form_mm, const Chance& chance) {
  BallForm f;
  if (!(form_mm > 0)) return f;
  f.c2 = chance.uniform(0, -1, 1);
  f.c3 = chance.uniform(1, -1, 1);
  f.c22 = chance.uniform(2, -1, 1);
  f.to_ball = any_rotation(chance, 3);
  const double scale = form_mm / range(f);
  f.c2 *= scale;
  f.c3 *= scale;
  f.c22 *= scale;
  return f;
}

std::vector<Vec3> true_centers(const Artefact& a, const Chance& chance, bool ideal) {
  std::vector<double> lengths;
  for (std::size_t i = 0; i < a.distances.size(); ++i)
    lengths.push_back(ideal ? a.distances[i].length.mm
                            : true_size(a.distances[i].length, a.k, chance, i));
  return ball_layout(a, lengths);
}

}  // namespace

ArtefactBody make_body(const Artefact& certificate, const Chance& chance, bool ideal) {
  ArtefactBody b;
  b.certificate = certificate;
  b.alpha_per_K = certificate.alpha_per_K;
  if (!ideal)
    b.alpha_per_K += chance.uniform(0, -1, 1) * std::numbers::sqrt3 * certificate.u_alpha_per_K;
  if (certificate.kind == ArtefactKind::plate) {
    if (ideal) return b;
    const double flat = std::max(0.0, true_size(certificate.flatness, certificate.k, chance, 1));
    const double twist = chance.uniform(2, -0.2, 0.2) * flat;
    b.bow_mm = (flat - 2 * std::abs(twist)) * (chance.uniform(3) < 0.5 ? -1 : 1);
    b.twist_mm = twist;
    return b;
  }
  b.centers = true_centers(certificate, chance.stream(1), ideal);
  for (std::size_t i = 0; i < certificate.balls.size(); ++i) {
    const ArtefactBall& ball = certificate.balls[i];
    b.radii.push_back(
        (ideal ? ball.diameter.mm : true_size(ball.diameter, certificate.k, chance.stream(2), i)) /
        2);
    b.forms.push_back(ideal ? BallForm{} : make_form(ball.form_mm, chance.stream(3 + i)));
  }
  return b;
}

namespace {

void place_plate(const ArtefactBody& body,
                 const RigidTransform& pose,
                 double g,
                 VirtualScene& scene) {
  PlateBody p;
  p.plane = {pose.translation, -pose.rotation.col(2)};
  p.u = pose.rotation.col(0);
  p.v = pose.rotation.col(1);
  p.half_u = body.certificate.length_mm / 2 * g;
  p.half_v = body.certificate.width_mm / 2 * g;
  p.thickness = kPlateThickness;
  p.bow = body.bow_mm;
  p.twist = body.twist_mm;
  p.feature = 0;
  scene.plates.push_back(p);
}

}  // namespace

void place(const ArtefactBody& body,
           const RigidTransform& pose,
           double celsius,
           VirtualScene& scene) {
  const double g = body.growth(celsius);
  if (body.certificate.kind == ArtefactKind::plate) return place_plate(body, pose, g, scene);
  const Vec3 back = pose.rotation.col(2);
  double largest = 0;
  for (std::size_t i = 0; i < body.centers.size(); ++i) {
    BallBody ball{
        {pose * (g * body.centers[i]), g * body.radii[i]}, body.forms[i], static_cast<int>(i)};
    ball.form.to_ball = body.forms[i].to_ball * pose.rotation.transpose();
    scene.balls.push_back(ball);
    largest = std::max(largest, ball.sphere.radius);
    const double reach = body.centers.size() > 1 ? kRodBehind : kPost;
    scene.rods.push_back({ball.sphere.center,
                          ball.sphere.center + reach * ball.sphere.radius * back,
                          kStem * ball.sphere.radius});
  }
  // Every ball after the first hangs on a rod from the first, behind them all.
  const Vec3 behind = kRodBehind * largest * back;
  for (std::size_t i = 1; i < body.centers.size(); ++i) {
    const Vec3 along = (pose.rotation * (body.centers[i] - body.centers[0])).normalized();
    scene.rods.push_back({pose * (g * body.centers[0]) + behind - largest * along,
                          pose * (g * body.centers[i]) + behind + largest * along,
                          kRod * largest});
  }
}

}  // namespace rigproof
