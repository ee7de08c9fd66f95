#include "plan/predict.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <Eigen/Cholesky>
#include <Eigen/Geometry>

#include "evaluate/random.h"
#include "inputs/session.h"

namespace rigproof {
namespace {

constexpr double kDisparity_px = 0.02, kArea_px = 25;  // common practice
constexpr double kAcross = 2000, kShareOfDistance = 2e-5;
constexpr int kRings = 8, kSpokes = 16;
constexpr std::uint64_t kSeed = 7;

double radians(double degrees) { return degrees * std::numbers::pi / 180; }

double scatter_at(const ExpectedNoise& noise, double distance) {
  const double share = distance / noise.middle_mm;
  return noise.sd_mm * share * share;
}

double pitch_at(const ExpectedNoise& noise, double distance) {
  return noise.pitch_mm * distance / noise.middle_mm;
}

// Sandwich of one point of a cap sampled as an image, scatter 1 along the axis: (center, radius) in
// a frame whose Z is the cap's axis.
Eigen::Matrix4d cap_sandwich(double half_angle_deg) {
  const double edge = std::sin(radians(half_angle_deg));
  Eigen::Matrix4d normal = Eigen::Matrix4d::Zero(), middle = Eigen::Matrix4d::Zero();
  for (int i = 0; i < kRings; ++i)
    for (int j = 0; j < kSpokes; ++j) {
      const double s = edge * std::sqrt((i + 0.5) / kRings);
      const double phi = 2 * std::numbers::pi * (j + 0.5 * (i % 2)) / kSpokes;
      const Eigen::Vector4d row(s * std::cos(phi), s * std::sin(phi), std::sqrt(1 - s * s), 1);
      normal += row * row.transpose();
      middle += row[2] * row[2] * row * row.transpose();
    }
  const Eigen::Matrix4d inverse = normal.ldlt().solve(Eigen::Matrix4d::Identity());
  return inverse * middle * inverse * (kRings * kSpokes);
}

ObservedBall expected_ball(const Spot& spot,
                           std::size_t i,
                           const PlacingRules& rules,
                           const ExpectedNoise& noise) {
  const Artefact& a = *spot.shape->artefact;
  ObservedBall b;
  b.artefact = a.serial;
  b.ball = a.balls[i].id;
  b.sphere = {spot.pose * spot.shape->centers[i], spot.shape->radii[i]};
  b.cap_axis = rules.eyes.cap_axis(b.sphere.center);
  b.cap_half_angle_deg = rules.cap_half_angle_deg;
  b.noise_area = noise.area;
  const double distance = b.sphere.center.norm(), pitch = pitch_at(noise, distance);
  const double edge = b.sphere.radius * std::sin(radians(b.cap_half_angle_deg));
  const double points = std::max(4.0, std::numbers::pi * edge * edge / (pitch * pitch));
  const double sd = scatter_at(noise, distance);
  Eigen::Matrix4d turn = Eigen::Matrix4d::Identity();
  turn.topLeftCorner<3, 3>() =
      Eigen::Quaterniond::FromTwoVectors(Vec3(Vec3::UnitZ()), b.cap_axis).toRotationMatrix();
  b.covariance = turn * cap_sandwich(b.cap_half_angle_deg) * turn.transpose() *
                 (sd * sd * noise.area / points);
  return b;
}

ObservedPlate expected_plate(const Spot& spot, const ExpectedNoise& noise) {
  const Artefact& a = *spot.shape->artefact;
  ObservedPlate p;
  p.artefact = a.serial;
  p.center = spot.center();
  p.axis_u = spot.pose.rotation.col(0);
  p.axis_v = spot.pose.rotation.col(1);
  p.normal = spot.direction;
  p.length_mm = a.length_mm - 2 * a.border_mm;
  p.width_mm = a.width_mm - 2 * a.border_mm;
  const double distance = p.center.norm(), pitch = pitch_at(noise, distance);
  const double facing = std::abs(p.normal.dot(p.center.normalized()));
  p.noise_sd = scatter_at(noise, distance) * facing;
  p.noise_area = noise.area;
  const double points = facing * p.length_mm * p.width_mm / (pitch * pitch);
  const std::size_t patches = static_cast<std::size_t>(kPatchesU) * kPatchesV;
  p.counts.assign(
      patches,
      std::max<std::size_t>(1, static_cast<std::size_t>(points / static_cast<double>(patches))));
  p.means.assign(patches, 0);
  return p;
}

void scatter(ObservedPlate& p, std::uint64_t stream) {
  Random random(kSeed, stream);
  for (std::size_t k = 0; k < p.means.size(); ++k)
    p.means[k] =
        p.noise_sd * std::sqrt(p.noise_area / static_cast<double>(p.counts[k])) * random.normal();
}

}  // namespace

ExpectedNoise expected_noise(const Rig& rig, const Field& field, double pitch_px) {
  const Volume& v = field.volume;
  ExpectedNoise n;
  n.middle_mm = v.middle().z();
  n.pitch_mm = 0.5 * (v.near_width + v.far_width) / kAcross;
  n.sd_mm = kShareOfDistance * n.middle_mm;
  n.area = kArea_px;
  n.assumed = !rig.noise;
  if (rig.stereo) {
    n.pitch_mm = n.middle_mm / rig.stereo->focal_px;
    n.sd_mm =
        depth_noise(rig.stereo->baseline_mm, rig.stereo->focal_px, n.middle_mm, kDisparity_px);
  }
  if (rig.noise) {
    n.sd_mm = rig.noise->sd_mm;
    n.area = std::max(1.0, rig.noise->area_px);
  }
  n.pitch_mm *= pitch_px;
  return n;
}

ExpectedScan expected_scan(const Spot& spot,
                           const std::string& scan,
                           const PlacingRules& rules,
                           const ExpectedNoise& noise) {
  ExpectedScan out;
  if (spot.shape->kind() == ArtefactKind::plate) {
    out.plates.push_back(expected_plate(spot, noise));
    out.plates.back().scan = scan;
    return out;
  }
  for (std::size_t i = 0; i < spot.shape->centers.size(); ++i) {
    out.balls.push_back(expected_ball(spot, i, rules, noise));
    out.balls.back().scan = scan;
  }
  return out;
}

Observations expected_observations(const std::vector<Spot>& order,
                                   const PlacingRules& rules,
                                   const ExpectedNoise& noise,
                                   const Session& session) {
  Observations out;
  out.artefacts = session.artefacts;
  out.temperature = artefact_temperature(session.environment);
  for (std::size_t i = 0; i < order.size(); ++i) {
    out.scans.push_back(std::to_string(i));
    ExpectedScan scan = expected_scan(order[i], out.scans.back(), rules, noise);
    for (ObservedPlate& p : scan.plates) scatter(p, i);
    out.balls.insert(out.balls.end(), scan.balls.begin(), scan.balls.end());
    out.plates.insert(out.plates.end(), scan.plates.begin(), scan.plates.end());
  }
  return out;
}

}  // namespace rigproof
