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

void add(Eigen::MatrixXd& sum, const Eigen::MatrixXd& more) {
  if (sum.size() == 0)
    sum = more;
  else
    sum += more;
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
  return Part(*this, chosen).with({});
}

std::vector<Eigen::Index> Information::rows_of(const std::vector<std::size_t>& chosen) const {
  std::vector<Eigen::Index> rows;
  for (const std::size_t i : chosen)
    rows.insert(rows.end(), rows_of_[i].begin(), rows_of_[i].end());
  return rows;
}

Information::Part::Part(const Information& all, const std::vector<std::size_t>& chosen)
    : all_(all), rows_(all.rows_of(chosen)) {
  const auto n = static_cast<Eigen::Index>(all.faults());
  of_balls_ = Eigen::MatrixXd::Zero(n, n);
  whitened_ = Eigen::MatrixXd::Zero(0, n);
  if (!rows_.empty()) {
    factor_.compute(Eigen::MatrixXd(all.covariance_(rows_, rows_)));
    whitened_ = factor_.matrixL().solve(Eigen::MatrixXd(all.effects_(rows_, Eigen::all)));
    of_balls_ = whitened_.transpose() * whitened_;
  }
  plate_sums_.resize(all.plate_serials_.size());
  for (const std::size_t i : chosen)
    if (const Plate& plate = all.plates_[i]; plate.information.size() > 0)
      add(plate_sums_[plate.artefact], plate.information);
}

// Blocks of a Cholesky factor: the rows that are there stay as they are, and those that come tell
// what the others do not say of them.
Eigen::MatrixXd Information::Part::with(const std::vector<std::size_t>& more) const {
  Eigen::MatrixXd out = of_balls_;
  if (const std::vector<Eigen::Index> rows = all_.rows_of(more); !rows.empty()) {
    Eigen::MatrixXd own = all_.covariance_(rows, rows), effects = all_.effects_(rows, Eigen::all);
    if (!rows_.empty()) {
      const Eigen::MatrixXd shared =
          factor_.matrixL().solve(Eigen::MatrixXd(all_.covariance_(rows_, rows)));
      own -= shared.transpose() * shared;
      effects -= shared.transpose() * whitened_;
    }
    const Eigen::LLT<Eigen::MatrixXd> factor(own);
    const Eigen::MatrixXd whitened = factor.matrixL().solve(effects);
    out += whitened.transpose() * whitened;
  }
  const Eigen::Index n = out.rows();
  for (std::size_t a = 0; a < plate_sums_.size(); ++a) {
    Eigen::MatrixXd sum = plate_sums_[a];
    for (const std::size_t i : more)
      if (const Plate& plate = all_.plates_[i]; plate.information.size() > 0 && plate.artefact == a)
        add(sum, plate.information);
    if (sum.size() == 0) continue;
    const Eigen::Matrix3d shape =
        sum.bottomRightCorner<3, 3>() + all_.shape_priors_[a] * Eigen::Matrix3d::Identity();
    out += sum.topLeftCorner(n, n) -
           sum.topRightCorner(n, 3) * shape.ldlt().solve(sum.bottomLeftCorner(3, n));
  }
  return out;
}

}  // namespace rigproof
