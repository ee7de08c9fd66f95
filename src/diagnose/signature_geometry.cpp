#include <algorithm>
#include <cmath>
#include <map>

#include <Eigen/Cholesky>

#include "diagnose/signature_fit.h"
#include "evaluate/distribution.h"
#include "evaluate/random.h"

namespace rigproof {
namespace {

constexpr int kSessions = 4000, kFaulty = 500, kBeside = 60;
constexpr std::uint64_t kSeed = 20;
constexpr double kFalseCalibration = 0.04, kFalseOther = 0.01;  // 5 % together
constexpr double kFound = 0.95, kKept = 0.97, kSingle = 0.98;
constexpr double kSmall = 1.5, kLarge = 3;  // multiples of the detection limit
constexpr double kUnseen = 0.05;  // of the best seen signature of the same id: no evidence
constexpr double kJitter = 1e-10;

double quantile(std::vector<double> values, double p) {
  if (values.empty()) return 0;
  const auto k = static_cast<std::ptrdiff_t>(p * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), values.begin() + k, values.end());
  return values[static_cast<std::size_t>(k)];
}

// z of clean sessions, a column a session: normal with the cosines as covariance.
Eigen::MatrixXd clean_sessions(const Eigen::MatrixXd& cosine) {
  const auto n = cosine.rows();
  const Eigen::MatrixXd ridged = cosine + kJitter * Eigen::MatrixXd::Identity(n, n);
  const Eigen::LDLT<Eigen::MatrixXd> ldlt(ridged);
  const Eigen::VectorXd d = ldlt.vectorD().cwiseMax(0).cwiseSqrt();
  Random random(kSeed, 0);
  Eigen::MatrixXd normals(n, kSessions);
  for (Eigen::Index s = 0; s < kSessions; ++s)
    for (Eigen::Index i = 0; i < n; ++i) normals(i, s) = random.normal();
  const Eigen::MatrixXd scaled = d.asDiagonal() * normals;
  return ldlt.transpositionsP().transpose() * (ldlt.matrixL() * scaled);
}

void set_alarms(SignatureGeometry& g,
                const Eigen::MatrixXd& clean,
                const std::vector<Signature>& signatures) {
  const auto n = clean.rows();
  for (const auto family : {SignatureFamily::calibration, SignatureFamily::other}) {
    std::vector<double> largest(kSessions, 0);
    for (Eigen::Index i = 0; i < n; ++i)
      if (signatures[i].family == family && g.u[i] > 0)
        for (Eigen::Index s = 0; s < kSessions; ++s)
          largest[s] = std::max(largest[s], std::abs(clean(i, s)));
    const bool calibration = family == SignatureFamily::calibration;
    const double alarm =
        quantile(std::move(largest), 1 - (calibration ? kFalseCalibration : kFalseOther));
    for (Eigen::Index i = 0; i < n; ++i)
      if (signatures[i].family == family) g.alarm[i] = alarm;
  }
  for (Eigen::Index i = 0; i < n; ++i)
    g.detection[i] = (g.alarm[i] + normal_quantile(kFound)) * g.u[i];
}

double best_single(const Eigen::VectorXd& z, const SignatureGeometry& g) {
  double best = -1e300;
  for (Eigen::Index i = 0; i < z.size(); ++i)
    if (g.u[i] > 0) best = std::max(best, z[i] * z[i] - g.alarm[i] * g.alarm[i]);
  return best;
}

double best_pair(const Eigen::VectorXd& z, const SignatureGeometry& g) {
  double best = -1e300;
  for (Eigen::Index i = 0; i < z.size(); ++i)
    for (Eigen::Index j = i + 1; j < z.size(); ++j) {
      const double r = g.cosine(i, j), s = 1 - r * r;
      if (!(g.u[i] > 0 && g.u[j] > 0) || s < 0.01) continue;
      const double drop = (z[i] * z[i] + z[j] * z[j] - 2 * r * z[i] * z[j]) / s;
      best = std::max(best, drop - g.alarm[i] * g.alarm[i] - g.alarm[j] * g.alarm[j]);
    }
  return best;
}

// How far a true cause of 1.5 times its detection limit falls behind the best by chance.
void set_widths(SignatureGeometry& g, const Eigen::MatrixXd& clean) {
  for (Eigen::Index i = 0; i < clean.rows(); ++i) {
    if (!(g.u[i] > 0)) continue;
    std::vector<double> behind;
    for (Eigen::Index s = 0; s < kFaulty; ++s) {
      const Eigen::VectorXd z = clean.col(s) + kSmall * g.detection[i] / g.u[i] * g.cosine.col(i);
      behind.push_back(best_single(z, g) - (z[i] * z[i] - g.alarm[i] * g.alarm[i]));
    }
    g.set_width[i] = quantile(std::move(behind), kKept);
  }
}

// How much a second fault explains by chance beside a true one of three times its limit.
void set_second_width(SignatureGeometry& g, const Eigen::MatrixXd& clean) {
  std::vector<double> risen;
  for (Eigen::Index i = 0; i < clean.rows(); ++i)
    for (Eigen::Index k = 0; g.u[i] > 0 && k < kBeside; ++k) {
      const Eigen::VectorXd z = clean.col((i * kBeside + k) % kSessions) +
                                kLarge * g.detection[i] / g.u[i] * g.cosine.col(i);
      risen.push_back(best_pair(z, g) - best_single(z, g));
    }
  g.second_width = std::max(0.0, quantile(std::move(risen), kSingle));
}

}  // namespace

SignatureGeometry signature_geometry(const Eigen::MatrixXd& whitened,
                                     const std::vector<Signature>& signatures) {
  SignatureGeometry g;
  const auto n = whitened.cols();
  const Eigen::VectorXd length = whitened.colwise().norm();
  g.u.assign(n, 0);
  g.alarm.assign(n, 0);
  g.detection.assign(n, 0);
  g.set_width.assign(n, 0);
  std::map<std::string, double> longest;
  for (Eigen::Index i = 0; i < n; ++i)
    longest[signatures[i].id] = std::max(longest[signatures[i].id], length[i]);
  Eigen::MatrixXd units = whitened;
  for (Eigen::Index i = 0; i < n; ++i) {
    if (!(length[i] > kUnseen * longest[signatures[i].id])) {
      units.col(i).setZero();
      continue;
    }
    g.u[i] = 1 / length[i];
    units.col(i) /= length[i];
  }
  g.cosine = units.transpose() * units;
  const Eigen::MatrixXd clean = clean_sessions(g.cosine);
  set_alarms(g, clean, signatures);
  set_widths(g, clean);
  set_second_width(g, clean);
  return g;
}

}  // namespace rigproof
