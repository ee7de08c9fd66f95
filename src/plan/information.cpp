#include "plan/information.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Cholesky>

#include "base/threads.h"
#include "diagnose/diagnose.h"

namespace rigproof {
namespace {

constexpr double kLeastFlat = 2e-6;  // flatness over length, where none is certified

double flatness_of(const Artefact& a) {
  return a.flatness.mm > 0 ? a.flatness.mm + a.flatness.U_mm : kLeastFlat * a.length_mm;
}

}  // namespace

Information::Information(const std::vector<Spot>& spots,
                         const PlacingRules& rules,
                         const ExpectedNoise& noise,
                         const Session& session)
    : rows_of_(spots.size()), plates_(spots.size()) {
  const Field* field = session.field();
  for (Signature& s : signatures(pictured_rig(session.rig, field), field->volume, 0)) {
    const double worst = worst_length_change(s, field->volume);
    if (!(worst > 0)) continue;
    per_unit_mm_.push_back(worst);
    signatures_.push_back(std::move(s));
  }
  Observations balls;
  balls.artefacts = session.artefacts;
  balls.temperature = artefact_temperature(session.environment);
  for (std::size_t i = 0; i < spots.size(); ++i) {
    if (spots[i].shape->kind() == ArtefactKind::plate) continue;
    const ExpectedScan scan = expected_scan(spots[i], std::to_string(i), rules, noise);
    balls.balls.insert(balls.balls.end(), scan.balls.begin(), scan.balls.end());
  }
  const ObservationModel model(balls);
  covariance_ = model.covariance();
  for (std::size_t r = 0; r < model.rows().size(); ++r)
    rows_of_[static_cast<std::size_t>(std::stoul(model.rows()[r].scan))].push_back(
        static_cast<Eigen::Index>(r));
  effects_.resize(covariance_.rows(), static_cast<Eigen::Index>(signatures_.size()));
  parallel_blocks(signatures_.size(), 0, [&](std::size_t f, int) {
    effects_.col(static_cast<Eigen::Index>(f)) =
        model.effect(signatures_[f].displacement) / per_unit_mm_[f];
  });
  for (const Spot& spot : spots) {
    const Artefact& a = *spot.shape->artefact;
    if (a.kind != ArtefactKind::plate || std::ranges::count(plate_serials_, a.serial)) continue;
    plate_serials_.push_back(a.serial);
    shape_priors_.push_back(4 / (flatness_of(a) * flatness_of(a)));
  }
  parallel_blocks(spots.size(), 0, [&](std::size_t i, int) {
    if (spots[i].shape->kind() == ArtefactKind::plate) add_plate(spots[i], rules, noise, i);
  });
}

// Level and tilt of the plate are free: the columns' parts along them are taken off.
void Information::add_plate(const Spot& spot,
                            const PlacingRules& rules,
                            const ExpectedNoise& noise,
                            std::size_t index) {
  const ObservedPlate plate = expected_scan(spot, "", rules, noise).plates.front();
  const auto patches = static_cast<Eigen::Index>(plate.counts.size());
  const auto n = static_cast<Eigen::Index>(signatures_.size());
  Eigen::MatrixXd columns(patches, n + 3), level(patches, 3);
  for (Eigen::Index k = 0; k < patches; ++k) {
    const auto patch = static_cast<std::size_t>(k);
    const SurfacePoint at{plate.patch(patch), plate.normal, 0};
    for (Eigen::Index f = 0; f < n; ++f)
      columns(k, f) = plate.normal.dot(signatures_[static_cast<std::size_t>(f)].displacement(at)) /
                      per_unit_mm_[static_cast<std::size_t>(f)];
    const double u = plate.along_u(patch), v = plate.along_v(patch);
    columns.row(k).tail<3>() << u * u, v * v, u * v;
    level.row(k) << 1, u, v;
  }
  const Eigen::Matrix3d gram = level.transpose() * level;
  columns -= level * gram.ldlt().solve(level.transpose() * columns);
  const double variance =
      plate.noise_sd * plate.noise_sd * plate.noise_area / static_cast<double>(plate.counts[0]);
  plates_[index].information = columns.transpose() * columns / variance;
  plates_[index].artefact = static_cast<std::size_t>(
      std::ranges::find(plate_serials_, spot.shape->artefact->serial) - plate_serials_.begin());
}

Eigen::MatrixXd Information::of(const std::vector<std::size_t>& chosen) const {
  const auto n = static_cast<Eigen::Index>(signatures_.size());
  Eigen::MatrixXd out = Eigen::MatrixXd::Zero(n, n);
  std::vector<Eigen::Index> rows;
  for (const std::size_t i : chosen)
    rows.insert(rows.end(), rows_of_[i].begin(), rows_of_[i].end());
  if (!rows.empty()) {
    const Eigen::MatrixXd effects = effects_(rows, Eigen::all);
    const Eigen::LLT<Eigen::MatrixXd> factor(Eigen::MatrixXd(covariance_(rows, rows)));
    const Eigen::MatrixXd whitened = factor.matrixL().solve(effects);
    out += whitened.transpose() * whitened;
  }
  for (std::size_t a = 0; a < plate_serials_.size(); ++a) {
    Eigen::MatrixXd sum = Eigen::MatrixXd::Zero(n + 3, n + 3);
    bool any = false;
    for (const std::size_t i : chosen)
      if (plates_[i].information.size() > 0 && plates_[i].artefact == a) {
        sum += plates_[i].information;
        any = true;
      }
    if (!any) continue;
    const Eigen::Matrix3d shape =
        sum.bottomRightCorner<3, 3>() + shape_priors_[a] * Eigen::Matrix3d::Identity();
    out += sum.topLeftCorner(n, n) -
           sum.topRightCorner(n, 3) * shape.ldlt().solve(sum.bottomLeftCorner(3, n));
  }
  return out;
}

}  // namespace rigproof
