#include "diagnose/observation_model.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace rigproof {
namespace {

constexpr std::size_t kSparse = 4;  // a patch with fewer than a quarter of the usual points is left

const Artefact* artefact_of(const Observations& from, const std::string& serial) {
  const auto it = std::ranges::find(from.artefacts, serial, &Artefact::serial);
  return it == from.artefacts.end() ? nullptr : &*it;
}

double progress_of(const Observations& from, const std::string& scan) {
  const auto it = std::ranges::find(from.scans, scan);
  if (from.scans.size() < 2 || it == from.scans.end()) return 0;
  return static_cast<double>(it - from.scans.begin()) / static_cast<double>(from.scans.size() - 1);
}

std::size_t usual_count(const ObservedPlate& plate) {
  std::vector<std::size_t> counts = plate.counts;
  if (counts.empty()) return 0;
  const auto middle = counts.begin() + static_cast<std::ptrdiff_t>(counts.size() / 2);
  std::nth_element(counts.begin(), middle, counts.end());
  return *middle;
}

constexpr double kRounding_mm = 5e-5;  // of coordinates; all that there is in scans without noise

}  // namespace

ObservationModel::ObservationModel(const Observations& from)
    : balls_(from.balls), plates_(from.plates) {
  for (const ObservedBall& ball : balls_) caps_.emplace_back(ball, progress_of(from, ball.scan));
  for (const ObservedPlate& plate : plates_)
    plate_progress_.push_back(progress_of(from, plate.scan));
  add_lengths(from);
  add_diameters(from);
  add_patches(from);
  const auto n = static_cast<Eigen::Index>(rows_.size());
  covariance_ = Eigen::MatrixXd::Zero(n, n);
  noise_terms(from);
  temperature_terms(from);
  certificate_terms(from);
  surface_terms(from);
  plate_terms(from);
  covariance_.diagonal().array() += kRounding_mm * kRounding_mm;
}

void ObservationModel::add_lengths(const Observations& from) {
  for (std::size_t i = 0; i < balls_.size(); ++i)
    for (std::size_t j = 0; j < balls_.size(); ++j) {
      const ObservedBall &a = balls_[i], &b = balls_[j];
      if (a.scan != b.scan || a.artefact != b.artefact) continue;
      const Artefact* artefact = artefact_of(from, a.artefact);
      if (!artefact) continue;
      for (const ArtefactDistance& d : artefact->distances) {
        if (d.from != a.ball || d.to != b.ball) continue;
        const double reference = reference_at(*artefact, d.length.mm, from.temperature.C);
        rows_.push_back({ObservationKind::length,
                         a.scan,
                         a.artefact,
                         static_cast<int>(i),
                         static_cast<int>(j),
                         (b.sphere.center - a.sphere.center).norm() - reference});
        nominal_.push_back(d.length.mm);
        longest_mm_ = std::max(longest_mm_, d.length.mm);
      }
    }
}

void ObservationModel::add_diameters(const Observations& from) {
  for (std::size_t i = 0; i < balls_.size(); ++i) {
    const ObservedBall& ball = balls_[i];
    const Artefact* artefact = artefact_of(from, ball.artefact);
    if (!artefact) continue;
    for (const ArtefactBall& listed : artefact->balls) {
      if (listed.id != ball.ball || !(listed.diameter.mm > 0)) continue;
      const double reference = reference_at(*artefact, listed.diameter.mm, from.temperature.C);
      rows_.push_back({ObservationKind::diameter,
                       ball.scan,
                       ball.artefact,
                       static_cast<int>(i),
                       -1,
                       2 * ball.sphere.radius - reference});
      nominal_.push_back(listed.diameter.mm);
    }
  }
}

void ObservationModel::add_patches(const Observations& from) {
  for (std::size_t p = 0; p < plates_.size(); ++p) {
    const ObservedPlate& plate = plates_[p];
    const std::size_t usual = usual_count(plate);
    if (!artefact_of(from, plate.artefact)) continue;
    for (std::size_t k = 0; k < plate.counts.size(); ++k) {
      if (plate.counts[k] == 0 || kSparse * plate.counts[k] < usual) continue;
      rows_.push_back({ObservationKind::patch,
                       plate.scan,
                       plate.artefact,
                       static_cast<int>(p),
                       static_cast<int>(k),
                       plate.means[k]});
      nominal_.push_back(0);
    }
  }
}

Eigen::VectorXd ObservationModel::values() const {
  Eigen::VectorXd y(static_cast<Eigen::Index>(rows_.size()));
  for (std::size_t i = 0; i < rows_.size(); ++i) y[static_cast<Eigen::Index>(i)] = rows_[i].value;
  return y;
}

Eigen::VectorXd ObservationModel::effect(const Displacement& displacement) const {
  std::vector<Eigen::Vector4d> changes;
  for (const CapResponse& cap : caps_) changes.push_back(cap.change(displacement));
  Eigen::VectorXd out(static_cast<Eigen::Index>(rows_.size()));
  for (std::size_t i = 0; i < rows_.size(); ++i) {
    const Observation& row = rows_[i];
    double& effect = out[static_cast<Eigen::Index>(i)];
    if (row.kind == ObservationKind::length) {
      const Vec3 along = (balls_[row.b].sphere.center - balls_[row.a].sphere.center).normalized();
      effect = along.dot((changes[row.b] - changes[row.a]).head<3>());
    } else if (row.kind == ObservationKind::diameter) {
      effect = 2 * changes[row.a][3];
    } else {
      const ObservedPlate& plate = plates_[row.a];
      const SurfacePoint at{plate.patch(row.b), plate.normal, plate_progress_[row.a]};
      effect = plate.normal.dot(displacement(at));
    }
  }
  return out;
}

}  // namespace rigproof
