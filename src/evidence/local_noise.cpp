#include "evidence/local_noise.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>

#include "evidence/quantile.h"

namespace rigproof {
namespace {

constexpr double kSide = 16;  // pitches
constexpr std::size_t kPatches = 24;
constexpr double kClip = 4;       // standard deviations, in the second fit of a patch's tilt
constexpr double kSameRow = 0.3;  // of the step to the one neighbour, how far the other may be off
constexpr double kTrim = 0.02;    // each end, before layers are looked for
constexpr std::size_t kLeastDifferences = 200;
constexpr double kShare = 1.0 / 3;  // of the patches that show two layers

struct PatchPoints {
  std::vector<double> a, b, e;  // across (pitches), error along the view; by ascending a
};

using Terms = Eigen::Matrix<double, 6, 1>;

// Tilt, and with six terms also what bends within the patch.
Terms terms(const PatchPoints& p, std::size_t i) {
  const double a = p.a[i], b = p.b[i];
  return (Terms() << 1, a, b, a * a, a * b, b * b).finished();
}

// Takes out the first `used` terms, fitted to what lies within `bound`.
void level(PatchPoints& p, double bound, int used) {
  Eigen::Matrix<double, 6, 6> normal = Eigen::Matrix<double, 6, 6>::Zero();
  Terms right = Terms::Zero();
  for (std::size_t i = 0; i < p.e.size(); ++i) {
    if (std::abs(p.e[i]) > bound) continue;
    const Terms row = terms(p, i);
    normal += row * row.transpose();
    right += row * p.e[i];
  }
  const Eigen::VectorXd c = normal.topLeftCorner(used, used).ldlt().solve(right.head(used));
  if (!c.allFinite()) return;
  for (std::size_t i = 0; i < p.e.size(); ++i) p.e[i] -= c.dot(terms(p, i).head(used));
}

// The second time without what stands off.
void level(PatchPoints& p, int used) {
  const double middle = median(p.e);
  for (double& e : p.e) e -= middle;
  for (const double clip : {2 * kClip, kClip}) level(p, clip * robust_sd(p.e), used);
}

// Nearest to a place within `reach`, apart from point `not_this`; −1 for none.
int nearest(const PatchPoints& p, double a, double b, double reach, int not_this) {
  int best = -1;
  double least = reach * reach;
  const auto from = std::ranges::lower_bound(p.a, a - reach);
  for (auto i = static_cast<std::size_t>(from - p.a.begin()); i < p.a.size(); ++i) {
    if (p.a[i] > a + reach) break;
    const double da = p.a[i] - a, db = p.b[i] - b, d = da * da + db * db;
    if (d < least && static_cast<int>(i) != not_this) {
      least = d;
      best = static_cast<int>(i);
    }
  }
  return best;
}

// e₋₁ − 2e₀ + e₁ of each point, its nearest neighbour and the point opposite.
void second_differences(const PatchPoints& p, double sd, std::vector<double>& out) {
  for (std::size_t i = 0; i < p.e.size(); ++i) {
    const int me = static_cast<int>(i);
    const int q = nearest(p, p.a[i], p.b[i], 1.8, me);
    if (q < 0) continue;
    const double da = p.a[i] - p.a[q], db = p.b[i] - p.b[q];
    const int r = nearest(p, p.a[i] + da, p.b[i] + db, kSameRow * std::hypot(da, db), me);
    if (r < 0) continue;
    out.push_back((p.e[q] - 2 * p.e[i] + p.e[r]) / (std::sqrt(6.0) * sd));
  }
}

PatchPoints patch_points(const SeenSurface& s, const std::vector<std::uint32_t>& members) {
  struct Seen {
    double a, b, e;
  };
  std::vector<Seen> seen;
  double a0 = 0, b0 = 0;
  for (const std::uint32_t i : members) {
    const auto [a, b] = s.across(i);
    if (seen.empty()) a0 = a, b0 = b;
    seen.push_back({(a - a0) / s.pitch, (b - b0) / s.pitch, s.along_view(i)});
  }
  std::ranges::stable_sort(seen, {}, &Seen::a);
  PatchPoints p;
  for (const Seen& one : seen) {
    p.a.push_back(one.a);
    p.b.push_back(one.b);
    p.e.push_back(one.e);
  }
  return p;
}

Vec3 middle_of(const SeenSurface& s, const std::vector<std::uint32_t>& members) {
  Vec3 sum = Vec3::Zero();
  for (const std::uint32_t i : members) sum += s.points.at(i);
  return sum / static_cast<double>(members.size());
}

}  // namespace

Layers layers(std::vector<double> values) {
  Layers out;
  std::ranges::sort(values);
  const auto trim =
      static_cast<std::ptrdiff_t>(std::floor(kTrim * static_cast<double>(values.size())));
  values.erase(values.end() - trim, values.end());
  values.erase(values.begin(), values.begin() + trim);
  const std::size_t n = values.size();
  if (n < 20) return out;
  double total = 0, square = 0;
  for (const double v : values) total += v, square += v * v;
  double sum = 0, best = -1;
  std::size_t split = 0;
  for (std::size_t k = 1; k < n; ++k) {
    sum += values[k - 1];
    const double below = static_cast<double>(k), above = static_cast<double>(n - k);
    const double apart = sum / below - (total - sum) / above;
    const double between = below * above * apart * apart;
    if (between > best) best = between, split = k;
  }
  double low = 0;
  for (std::size_t k = 0; k < split; ++k) low += values[k];
  low /= static_cast<double>(split);
  const double high = (total - low * static_cast<double>(split)) / static_cast<double>(n - split);
  const double all = static_cast<double>(n), lower = static_cast<double>(split) / all;
  out.distance = high - low;
  const double mean = total / all;
  const double within =
      square / all - mean * mean - lower * (1 - lower) * out.distance * out.distance;
  out.smaller = std::min(lower, 1 - lower);
  if (!(within > 0)) return out;
  out.separation = out.distance / std::sqrt(within);
  const auto from = std::ranges::lower_bound(values, low + 0.35 * out.distance);
  const auto to = std::ranges::lower_bound(values, low + 0.65 * out.distance);
  out.half_way = static_cast<double>(to - from) / all;
  return out;
}

LocalNoise local_noise(const SeenSurface& s) {
  LocalNoise out;
  std::vector<double> differences, sds, distances, separations;
  for (const auto& members : patches(s, kSide, kPatches)) {
    PatchPoints p = patch_points(s, members);
    level(p, 3);
    const double sd = robust_sd(p.e);
    const Vec3 place = middle_of(s, members);
    double cosine = 0;
    for (const std::uint32_t i : members) cosine += s.cosine(i);
    out.patches.push_back({place, sd, cosine / static_cast<double>(members.size())});
    if (!(sd > 0)) continue;
    sds.push_back(sd);
    second_differences(p, sd, differences);
    // A bend that a filter leaves in a ball must not pass for a second layer.
    level(p, 6);
    if (const Layers l = layers(p.e); l.two()) {
      distances.push_back(l.distance);
      separations.push_back(l.separation);
    }
  }
  out.sd = median(sds);
  out.second_differences = differences.size();
  if (differences.size() >= kLeastDifferences) out.second_difference_ratio = robust_sd(differences);
  if (!distances.empty() &&
      static_cast<double>(distances.size()) >= kShare * static_cast<double>(out.patches.size())) {
    out.shell_distance = median(distances);
    out.shell_separation = median(separations);
  }
  return out;
}

}  // namespace rigproof
