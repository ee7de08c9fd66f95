#include "diagnose/virtual_session.h"

#include <cmath>
#include <numbers>

#include <Eigen/Cholesky>
#include <Eigen/Geometry>

#include "evaluate/random.h"
#include "fit/fit.h"

namespace rigproof {
namespace {

constexpr int kRings = 8, kSpokes = 16;
constexpr double kCapDeg = 60, kAreaKnown = 0.1;  // relative error of the stated correlation area

class Observer {
 public:
  Observer(const SessionSetup& s, std::optional<std::uint64_t> seed)
      : s_(s), noisy_(seed.has_value()), random_(seed.value_or(0), 1) {
    const MatchingNoise& noise = s.scenario.noise;
    step_ = s.sensor.step;
    area_ = std::max(1.0, noise.area_px2 / (step_ * step_));
  }

  DiagnosisInput input() {
    DiagnosisInput in;
    in.rig = &s_.scenario.rig;
    in.field = &s_.scenario.field_of_view();
    in.observations.artefacts = s_.scenario.artefacts;
    in.observations.temperature = {s_.scenario.artefact_C, s_.scenario.u_artefact_C, "artefact"};
    in.observations.noise = {1, area_ * (1 + kAreaKnown * chance()), 1000};
    for (std::size_t i = 0; i < s_.placements.size(); ++i) {
      const Sensor sensor = s_.sensor_at(i);
      field_.emplace(sensor.truth, sensor.belief, sensor.matching);
      const ArtefactBody& body = s_.standing(i);
      in.observations.scans.push_back("scan" + std::to_string(i));
      if (body.certificate.kind == ArtefactKind::plate)
        in.observations.plates.push_back(plate(body, i));
      else
        for (std::size_t k = 0; k < body.centers.size(); ++k)
          in.observations.balls.push_back(ball(body, k, i));
    }
    return in;
  }

 private:
  // Points of a surface that fill this area square to the view, and the noise along the ray.
  double points(double area_mm2, double z) const {
    const double pitch = z / s_.rig.cameras[0].focal_px * step_;
    return area_mm2 / (pitch * pitch);
  }
  double noise(double z) const {
    return depth_noise(s_.rig.baseline(),
                       s_.rig.cameras[0].focal_px,
                       z,
                       s_.scenario.noise.on ? s_.scenario.noise.disparity_px : 1e-6);
  }

  ObservedBall ball(const ArtefactBody& body, std::size_t k, std::size_t scan) {
    const double g = body.growth(s_.celsius(scan));
    const RigidTransform& pose = s_.placements[scan].pose;
    const Sphere real{pose * (g * body.centers[k]), g * body.radii[k]};
    BallForm form = body.forms[k];
    form.to_ball = form.to_ball * pose.rotation.transpose();
    const Vec3 axis = ((s_.rig.cameras[0].center() - real.center).normalized() +
                       (s_.rig.cameras[1].center() - real.center).normalized())
                          .normalized();
    const Vec3 u = axis.unitOrthogonal(), v = axis.cross(u), ray = -real.center.normalized();
    const double edge = std::sin(kCapDeg * std::numbers::pi / 180);
    const double each =
        points(std::numbers::pi * edge * edge * real.radius * real.radius, real.center.z()) /
        (kRings * kSpokes);
    Points seen;
    seen.origin = real.center;
    Eigen::Matrix4d normal = Eigen::Matrix4d::Zero(), middle = normal;
    for (int i = 0; i < kRings; ++i)
      for (int j = 0; j < kSpokes; ++j) {
        const double s = edge * std::sqrt((i + 0.5) / kRings);
        const double phi = 2 * std::numbers::pi * (j + 0.5 * (i % 2)) / kSpokes;
        const Vec3 n = s * std::cos(phi) * u + s * std::sin(phi) * v + std::sqrt(1 - s * s) * axis;
        const double r = real.radius + (form.none() ? 0 : form.at(n));
        seen.push(field_->measure(real.center + r * n, n).point);
        const Eigen::Vector4d row(n.x(), n.y(), n.z(), 1);
        normal += each * row * row.transpose();
        middle += each * std::pow(n.dot(ray), 2) * row * row.transpose();
      }
    const Eigen::Matrix4d inverse = normal.inverse();
    ObservedBall out;
    out.scan = "scan" + std::to_string(scan);
    out.artefact = body.certificate.serial;
    out.ball = body.certificate.balls[k].id;
    out.sphere = fit_sphere_from(seen, real).sphere;
    out.cap_axis = axis;
    out.cap_half_angle_deg = kCapDeg;
    out.noise_area = area_;
    out.covariance = inverse * middle * inverse * (std::pow(noise(real.center.z()), 2) * area_);
    const Eigen::Matrix4d root = out.covariance.llt().matrixL();
    const Eigen::Vector4d error = root * Eigen::Vector4d(chance(), chance(), chance(), chance());
    out.sphere.center += error.head<3>();
    out.sphere.radius += error[3];
    return out;
  }

  ObservedPlate plate(const ArtefactBody& body, std::size_t scan) {
    const RigidTransform& pose = s_.placements[scan].pose;
    const Artefact& a = body.certificate;
    ObservedPlate out;
    out.scan = "scan" + std::to_string(scan);
    out.artefact = a.serial;
    out.center = pose.translation;
    out.axis_u = pose.rotation.col(0);
    out.axis_v = pose.rotation.col(1);
    out.normal = -pose.rotation.col(2);
    out.length_mm = a.length_mm - 2 * a.border_mm;
    out.width_mm = a.width_mm - 2 * a.border_mm;
    out.noise_area = area_;
    const double z = pose.translation.z();
    const double facing = std::abs(out.normal.dot(pose.translation.normalized()));
    out.noise_sd = noise(z) * facing;
    const double each = points(out.length_mm * out.width_mm * facing, z) / (kPatchesU * kPatchesV);
    out.counts.assign(kPatchesU * kPatchesV, static_cast<std::size_t>(each));
    Points seen;
    seen.origin = out.center;
    for (std::size_t k = 0; k < out.counts.size(); ++k) {
      const double s = out.along_u(k), t = out.along_v(k);
      const double proud = body.bow_mm * (1 - (s * s + t * t) / 2) + body.twist_mm * s * t;
      const double spoilt = proud + out.noise_sd * std::sqrt(area_ / each) * chance();
      seen.push(field_->measure(out.patch(k), out.normal).point + spoilt * out.normal);
    }
    out.means = plane_residuals(seen, fit_plane(seen, Vec3(Vec3::Zero())).plane);
    return out;
  }

  double chance() { return noisy_ ? random_.normal() : 0; }

  const SessionSetup& s_;
  bool noisy_;
  Random random_;
  std::optional<DisplacementField> field_;
  int step_ = 1;
  double area_ = 1;
};

}  // namespace

DiagnosisInput observed_session(const SessionSetup& setup,
                                std::optional<std::uint64_t> noise_seed) {
  return Observer(setup, noise_seed).input();
}

}  // namespace rigproof
