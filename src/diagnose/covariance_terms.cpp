// The covariance of ObservationModel, a term a function.

#include <cmath>
#include <map>
#include <numbers>

#include <Eigen/Cholesky>

#include "diagnose/observation_model.h"

namespace rigproof {
namespace {

constexpr double kFormRms = 0.3;  // rms of a second harmonic over its peak to valley, 1/(1.5 √5)
constexpr double kSurface_mm = 0.02;        // offset of all surfaces: as unknown as a spray coat
constexpr double kSurfaceApart_mm = 0.003;  // of one ball from the others
constexpr double kNominal_mm = 0.2;         // of a size that no certificate states
constexpr double kFree_mm = 0.1;            // level and tilt of a plate
constexpr double kLeastFlat = 2e-6;         // flatness over length, where none is certified
constexpr int kSmooth = 5;                  // degree of what is taken for shape, not noise
constexpr double kLeastRatio = 0.02, kMostRatio = 50;

using Column = Eigen::VectorXd;

// Second and third spherical harmonics (unit mean square over the sphere) about the cap's axes.
Eigen::Matrix<double, 12, 1> harmonics(const Vec3& n) {
  const double x = n.x(), y = n.y(), z = n.z();
  Eigen::Matrix<double, 12, 1> h;
  h << std::sqrt(5.0) / 2 * (3 * z * z - 1), std::sqrt(15.0) * x * z, std::sqrt(15.0) * y * z,
      std::sqrt(15.0) / 2 * (x * x - y * y), std::sqrt(15.0) * x * y,
      std::sqrt(7.0) / 2 * z * (5 * z * z - 3), std::sqrt(42.0) / 4 * x * (5 * z * z - 1),
      std::sqrt(42.0) / 4 * y * (5 * z * z - 1), std::sqrt(105.0) / 2 * z * (x * x - y * y),
      std::sqrt(105.0) * x * y * z, std::sqrt(70.0) / 4 * x * (x * x - 3 * y * y),
      std::sqrt(70.0) / 4 * y * (3 * x * x - y * y);
  return h;
}

// Covariance that an unknown form of certified peak to valley gives to (center, radius).
Eigen::Matrix4d form_covariance(const CapResponse& cap, double form_mm) {
  if (!(form_mm > 0)) return Eigen::Matrix4d::Zero();
  const auto& points = cap.points();
  Eigen::Matrix<double, Eigen::Dynamic, 12> deviations(static_cast<Eigen::Index>(points.size()),
                                                       12);
  for (std::size_t i = 0; i < points.size(); ++i)
    deviations.row(static_cast<Eigen::Index>(i)) = harmonics(points[i].normal).transpose();
  Eigen::Matrix4d sum = Eigen::Matrix4d::Zero();
  for (int k = 0; k < 12; ++k) {
    const Eigen::Vector4d g = cap.change(Eigen::VectorXd(deviations.col(k)));
    sum += g * g.transpose();
  }
  return sum * (kFormRms * kFormRms * form_mm * form_mm / 12);
}

const Artefact* find(const Observations& from, const std::string& serial) {
  for (const Artefact& a : from.artefacts)
    if (a.serial == serial) return &a;
  return nullptr;
}

double pooled_area(const Observations& from, double own) {
  return from.noise.pairs > 0 ? from.noise.area : own;
}

}  // namespace

std::pair<double, double> patch_scatter(const ObservedPlate& plate, double area) {
  constexpr int kTerms = (kSmooth + 1) * (kSmooth + 2) / 2;
  std::vector<std::size_t> used;
  for (std::size_t k = 0; k < plate.counts.size(); ++k)
    if (plate.counts[k] > 0) used.push_back(k);
  if (used.size() < kTerms + 10 || !(plate.noise_sd > 0)) return {0, 0};
  const auto n = static_cast<Eigen::Index>(used.size());
  Eigen::MatrixXd shape(n, kTerms);
  Column mean(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const std::size_t k = used[static_cast<std::size_t>(i)];
    const double weight = std::sqrt(static_cast<double>(plate.counts[k]) / area) / plate.noise_sd;
    int term = 0;
    for (int a = 0; a <= kSmooth; ++a)
      for (int b = 0; a + b <= kSmooth; ++b)
        shape(i, term++) =
            weight * std::legendre(a, plate.along_u(k)) * std::legendre(b, plate.along_v(k));
    mean[i] = weight * plate.means[k];
  }
  const Eigen::MatrixXd normal = shape.transpose() * shape;
  const Column rest = mean - shape * normal.ldlt().solve(shape.transpose() * mean);
  return {rest.squaredNorm(), static_cast<double>(n - kTerms)};
}

void ObservationModel::noise_terms(const Observations& from) {
  double squares = 0, dof = 0;
  for (const ObservedPlate& plate : plates_) {
    const auto [s, d] = patch_scatter(plate, pooled_area(from, plate.noise_area));
    squares += s;
    dof += d;
  }
  noise_ratio_ = dof > 0 ? std::clamp(squares / dof, kLeastRatio, kMostRatio) : 1;

  std::vector<Eigen::Matrix4d> of_ball;
  for (std::size_t i = 0; i < balls_.size(); ++i) {
    const ObservedBall& ball = balls_[i];
    double form = 0;
    if (const Artefact* a = find(from, ball.artefact))
      for (const ArtefactBall& listed : a->balls)
        if (listed.id == ball.ball) form = listed.form_mm;
    const double area = pooled_area(from, ball.noise_area);
    of_ball.push_back(ball.covariance * (noise_ratio_ * area / ball.noise_area) +
                      ball.stray_covariance + form_covariance(caps_[i], form));
  }
  // Every length and diameter as a linear form of its balls' (center, radius).
  const auto gain = [&](const Observation& row, int ball) -> Eigen::Vector4d {
    Eigen::Vector4d g = Eigen::Vector4d::Zero();
    if (row.kind == ObservationKind::diameter && row.a == ball) g[3] = 2;
    if (row.kind == ObservationKind::length && (row.a == ball || row.b == ball))
      g.head<3>() = (row.b == ball ? 1 : -1) *
                    (balls_[row.b].sphere.center - balls_[row.a].sphere.center).normalized();
    return g;
  };
  std::vector<std::vector<Eigen::Index>> rows_of(balls_.size());
  for (std::size_t i = 0; i < rows_.size(); ++i) {
    const Observation& row = rows_[i];
    const auto at = static_cast<Eigen::Index>(i);
    if (row.kind == ObservationKind::patch) {
      const ObservedPlate& plate = plates_[row.a];
      covariance_(at, at) = noise_ratio_ * plate.noise_sd * plate.noise_sd *
                            pooled_area(from, plate.noise_area) /
                            static_cast<double>(plate.counts[row.b]);
      continue;
    }
    rows_of[row.a].push_back(at);
    if (row.kind == ObservationKind::length) rows_of[row.b].push_back(at);
  }
  for (std::size_t ball = 0; ball < balls_.size(); ++ball)
    for (const Eigen::Index i : rows_of[ball])
      for (const Eigen::Index j : rows_of[ball])
        covariance_(i, j) += gain(rows_[i], static_cast<int>(ball))
                                 .dot(of_ball[ball] * gain(rows_[j], static_cast<int>(ball)));
}

void ObservationModel::temperature_terms(const Observations& from) {
  const auto n = static_cast<Eigen::Index>(rows_.size());
  Column warmer = Column::Zero(n);
  std::map<std::string, Column> expansion;
  for (Eigen::Index i = 0; i < n; ++i) {
    const Observation& row = rows_[i];
    const Artefact* a = find(from, row.artefact);
    if (row.kind == ObservationKind::patch || !a) continue;
    warmer[i] = -nominal_[i] * a->alpha_per_K;
    auto [at, fresh] = expansion.try_emplace(row.artefact, Column::Zero(n));
    at->second[i] = -nominal_[i];
  }
  share(warmer, from.temperature.u_C);
  for (const auto& [serial, column] : expansion) {
    const Artefact& a = *find(from, serial);
    share(column,
          a.u_alpha_per_K * std::hypot(from.temperature.C - a.reference_C, from.temperature.u_C));
  }
}

void ObservationModel::certificate_terms(const Observations& from) {
  const auto n = static_cast<Eigen::Index>(rows_.size());
  std::map<std::string, std::pair<Column, double>> terms;
  for (Eigen::Index i = 0; i < n; ++i) {
    const Observation& row = rows_[i];
    const Artefact* a = find(from, row.artefact);
    if (row.kind == ObservationKind::patch || !a) continue;
    const std::string first = balls_[row.a].ball;
    const std::string second = row.b >= 0 ? balls_[row.b].ball : "";
    double U = 0;
    if (row.kind == ObservationKind::length) {
      for (const auto& d : a->distances)
        if (d.from == first && d.to == second) U = d.length.U_mm;
    } else {
      for (const auto& ball : a->balls)
        if (ball.id == first) U = ball.diameter.U_mm;
    }
    const double u = a->certified ? U / a->k : kNominal_mm;
    auto [at, fresh] =
        terms.try_emplace(row.artefact + '\n' + first + '\n' + second, Column::Zero(n), u);
    at->second.first[i] = 1;
  }
  for (const auto& [key, term] : terms) share(term.first, term.second);
}

void ObservationModel::surface_terms(const Observations& from) {
  (void)from;
  const auto n = static_cast<Eigen::Index>(rows_.size());
  Column all = Column::Zero(n);
  std::map<std::string, Column> apart;
  for (Eigen::Index i = 0; i < n; ++i) {
    const Observation& row = rows_[i];
    if (row.kind != ObservationKind::diameter) continue;
    all[i] = 2;
    auto [at, fresh] = apart.try_emplace(row.artefact + '\n' + balls_[row.a].ball, Column::Zero(n));
    at->second[i] = 2;
  }
  share(all, kSurface_mm);
  for (const auto& [key, column] : apart) share(column, kSurfaceApart_mm);
}

void ObservationModel::plate_terms(const Observations& from) {
  const auto n = static_cast<Eigen::Index>(rows_.size());
  std::map<std::string, std::array<Column, 3>> shapes;
  for (std::size_t p = 0; p < plates_.size(); ++p) {
    std::array<Column, 3> pose{Column::Zero(n), Column::Zero(n), Column::Zero(n)};
    const ObservedPlate& plate = plates_[p];
    auto [at, fresh] = shapes.try_emplace(
        plate.artefact, std::array<Column, 3>{Column::Zero(n), Column::Zero(n), Column::Zero(n)});
    for (Eigen::Index i = 0; i < n; ++i) {
      if (rows_[i].kind != ObservationKind::patch || rows_[i].a != static_cast<int>(p)) continue;
      const auto k = static_cast<std::size_t>(rows_[i].b);
      const double u = plate.along_u(k), v = plate.along_v(k);
      pose[0][i] = 1, pose[1][i] = u, pose[2][i] = v;
      at->second[0][i] = u * u, at->second[1][i] = v * v, at->second[2][i] = u * v;
    }
    for (const Column& column : pose) share(column, kFree_mm);
  }
  for (const auto& [serial, columns] : shapes) {
    const Artefact* a = find(from, serial);
    if (!a) continue;
    const double flat =
        a->flatness.mm > 0 ? a->flatness.mm + a->flatness.U_mm : kLeastFlat * a->length_mm;
    for (const Column& column : columns) share(column, flat / 2);
  }
}

}  // namespace rigproof
