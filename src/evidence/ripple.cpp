#include "evidence/ripple.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#include <vector>

#include <Eigen/Dense>

#include "evidence/quantile.h"

namespace rigproof {
namespace {

constexpr int kMostCells = 96;
constexpr double kLeastPeriods = 4, kMostPeriods = 40, kStep = 0.5;
constexpr double kAbove = 20;
constexpr double kMedianOfMean = 0.6931;  // of an exponential distribution
constexpr double kRingIn = 3, kRingOut = 6;

using Row = std::vector<std::complex<double>>;

struct Grid {
  int columns = 0, rows = 0;
  double length = 0, width = 0;
  std::vector<double> mean, count;
};

Grid grid_of(const PlateFeature& f) {
  Grid g;
  g.length = f.length_mm;
  g.width = f.width_mm;
  const double cell = std::max(1.5 * f.spacing_mm, f.length_mm / kMostCells);
  g.columns = std::max(1, static_cast<int>(f.length_mm / cell));
  g.rows = std::max(1, static_cast<int>(f.width_mm / cell));
  g.mean.assign(static_cast<std::size_t>(g.columns) * g.rows, 0);
  g.count = g.mean;
  const Vec3 middle = f.center - f.zone.origin;
  for (std::size_t i = 0; i < f.zone.size(); ++i) {
    const Vec3 d = f.zone.local(i) - middle;
    const double a = d.dot(f.located.axis_u) / f.length_mm + 0.5;
    const double b = d.dot(f.located.axis_v) / f.width_mm + 0.5;
    const int c = static_cast<int>(a * g.columns), r = static_cast<int>(b * g.rows);
    if (a < 0 || b < 0 || c >= g.columns || r >= g.rows) continue;
    const auto at = static_cast<std::size_t>(r) * g.columns + c;
    g.mean[at] += f.residuals[i];
    g.count[at] += 1;
  }
  for (std::size_t k = 0; k < g.mean.size(); ++k)
    if (g.count[k] > 0) g.mean[k] /= g.count[k];
  return g;
}

double place(int k, int n) { return 2 * (k + 0.5) / n - 1; }

// Least squares with all terms up to the fourth order: what bends a plate is no ripple.
void take_out_form(Grid& g) {
  constexpr int kTerms = 15;
  Eigen::MatrixXd normal = Eigen::MatrixXd::Zero(kTerms, kTerms);
  Eigen::VectorXd right = Eigen::VectorXd::Zero(kTerms);
  const auto terms = [&](std::size_t k) {
    const double x = place(static_cast<int>(k) % g.columns, g.columns);
    const double y = place(static_cast<int>(k) / g.columns, g.rows);
    Eigen::VectorXd t(kTerms);
    int at = 0;
    for (int order = 0; order <= 4; ++order)
      for (int j = 0; j <= order; ++j) t[at++] = std::pow(x, order - j) * std::pow(y, j);
    return t;
  };
  for (std::size_t k = 0; k < g.mean.size(); ++k) {
    if (g.count[k] == 0) continue;
    const Eigen::VectorXd t = terms(k);
    normal += t * t.transpose();
    right += t * g.mean[k];
  }
  const Eigen::VectorXd c = normal.ldlt().solve(right);
  for (std::size_t k = 0; k < g.mean.size(); ++k)
    g.mean[k] = g.count[k] > 0 ? g.mean[k] - c.dot(terms(k)) : 0;
}

double hann(int k, int n) { return 1 - std::cos(2 * std::numbers::pi * (k + 0.5) / n); }

// Amplitude spectrum at half periods: kx 0 … X, ky −Y … Y, from cells under a Hann window.
struct Spectrum {
  int across = 0, along = 0;  // steps
  std::vector<double> amplitude;
  double at(int x, int y) const {
    return amplitude[static_cast<std::size_t>(x) * (2 * along + 1) + (y + along)];
  }
};

Spectrum spectrum(const Grid& g) {
  Spectrum s;
  s.across = static_cast<int>(std::min(kMostPeriods, 0.45 * g.columns) / kStep);
  s.along = static_cast<int>(std::min(kMostPeriods, 0.45 * g.rows) / kStep);
  const auto wave = [](int step, int k, int n) {
    return std::polar(1.0, -2 * std::numbers::pi * kStep * step * (k + 0.5) / n);
  };
  double weight = 0;
  std::vector<Row> rows(g.rows, Row(s.across + 1));
  for (int x = 0; x <= s.across; ++x)
    for (int c = 0; c < g.columns; ++c) {
      const auto w = wave(x, c, g.columns) * hann(c, g.columns);
      for (int r = 0; r < g.rows; ++r)
        rows[r][x] += w * g.mean[static_cast<std::size_t>(r) * g.columns + c];
    }
  for (int r = 0; r < g.rows; ++r)
    for (int c = 0; c < g.columns; ++c)
      if (g.count[static_cast<std::size_t>(r) * g.columns + c] > 0)
        weight += hann(c, g.columns) * hann(r, g.rows);
  s.amplitude.assign(static_cast<std::size_t>(s.across + 1) * (2 * s.along + 1), 0);
  for (int y = -s.along; y <= s.along; ++y) {
    Row sum(s.across + 1);
    for (int r = 0; r < g.rows; ++r) {
      const auto w = wave(y, r, g.rows) * hann(r, g.rows);
      for (int x = 0; x <= s.across; ++x) sum[x] += w * rows[r][x];
    }
    for (int x = 0; x <= s.across; ++x)
      s.amplitude[static_cast<std::size_t>(x) * (2 * s.along + 1) + (y + s.along)] =
          2 * std::abs(sum[x]) / weight;
  }
  return s;
}

double power_about(const Spectrum& s, int x, int y) {
  std::vector<double> powers;
  const int reach = static_cast<int>(kRingOut / kStep);
  for (int i = std::max(0, x - reach); i <= std::min(s.across, x + reach); ++i)
    for (int j = std::max(-s.along, y - reach); j <= std::min(s.along, y + reach); ++j) {
      const double away = kStep * std::hypot(i - x, j - y);
      if (away >= kRingIn && away <= kRingOut) powers.push_back(s.at(i, j) * s.at(i, j));
    }
  if (powers.size() < 20) return 0;
  return median(std::move(powers)) / kMedianOfMean;
}

}  // namespace

std::optional<Ripple> find_ripple(const PlateFeature& f) {
  if (!(f.spacing_mm > 0) || !(f.length_mm > 0) || !(f.width_mm > 0)) return std::nullopt;
  Grid g = grid_of(f);
  if (g.columns < 20 || g.rows < 10) return std::nullopt;
  take_out_form(g);
  const Spectrum s = spectrum(g);
  int bx = 0, by = 0;
  double best = 0;
  for (int x = 0; x <= s.across; ++x)
    for (int y = -s.along; y <= s.along; ++y)
      if (kStep * std::hypot(x, y) >= kLeastPeriods && s.at(x, y) > best)
        best = s.at(x, y), bx = x, by = y;
  const double about = power_about(s, bx, by);
  if (!(about > 0) || best * best < kAbove * about) return std::nullopt;
  const double frequency = kStep * std::hypot(bx / g.length, by / g.width);
  return Ripple{1 / frequency, 2 * best, best * best / about};
}

}  // namespace rigproof
