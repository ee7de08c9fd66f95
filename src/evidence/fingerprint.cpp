#include "evidence/fingerprint.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "evidence/quantile.h"

namespace rigproof {
namespace {

constexpr std::size_t kInOrder = 512, kAbout = 1200;  // places a scan, points a feature
constexpr double kSteps = 4, kNeighbourSteps = 1.5;
constexpr double kOrderShare = 0.9, kNeighbourShare = 0.5;
constexpr double kTells = 0.08;  // most that the tolerance may be of the noise
constexpr double kInner = 0.85;  // of the radius looked at, whose neighbours are all there
constexpr double kNear = 1.25;   // pitches to a neighbour
constexpr int kLeastNeighbours = 3;
constexpr double kFloatStep = 1.2e-7;  // neighbouring floats over their size

bool within(double u, double v, double reach) { return u * u + v * v <= reach * reach; }

double second_difference(const Points& p, std::size_t i) {
  return (p.local(i - 1) - 2 * p.local(i) + p.local(i + 1)).norm();
}

// The zone's points nearest to its middle, sorted along u.
std::vector<std::size_t> about_the_middle(const SeenSurface& s, double& radius) {
  const std::size_t n = s.points.size();
  double mu = 0, mv = 0;
  for (std::size_t i = 0; i < n; ++i) {
    const auto [u, v] = s.across(i);
    mu += u, mv += v;
  }
  mu /= static_cast<double>(n), mv /= static_cast<double>(n);
  std::vector<std::pair<double, std::size_t>> away(n);
  for (std::size_t i = 0; i < n; ++i) {
    const auto [u, v] = s.across(i);
    away[i] = {(u - mu) * (u - mu) + (v - mv) * (v - mv), i};
  }
  const std::size_t used = std::min(n, kAbout);
  std::nth_element(away.begin(), away.begin() + static_cast<std::ptrdiff_t>(used - 1), away.end());
  away.resize(used);
  radius = std::sqrt(std::ranges::max_element(away)->first);
  std::vector<std::size_t> out;
  for (const auto& [d, i] : away) out.push_back(i);
  std::ranges::sort(out, {}, [&](std::size_t i) { return s.across(i).first; });
  return out;
}

bool agree(const Neighbourhood& a, const Neighbourhood& b, double tolerance) {
  for (std::size_t k = 0; k < a.size(); ++k)
    if (std::abs(a[k] - b[k]) > tolerance) return false;
  return true;
}

// Share of a's neighbourhoods that b has too; both ascending.
double shared(const std::vector<Neighbourhood>& a,
              const std::vector<Neighbourhood>& b,
              double tolerance) {
  if (a.empty() || b.empty()) return 0;
  std::size_t found = 0;
  for (const auto& t : a) {
    const auto from = std::ranges::lower_bound(
        b, static_cast<float>(t[0] - tolerance), {}, [](const auto& x) { return x[0]; });
    for (auto it = from; it != b.end() && (*it)[0] <= t[0] + tolerance; ++it)
      if (agree(t, *it, tolerance)) {
        ++found;
        break;
      }
  }
  return static_cast<double>(found) / static_cast<double>(std::min(a.size(), b.size()));
}

// Robust deviation of the first entry.
double noise_of(const std::vector<Neighbourhood>& all) {
  std::vector<double> first;
  for (const auto& n : all) first.push_back(n[0]);
  return robust_sd(std::move(first));
}

bool same_order(const Fingerprint& a, const Fingerprint& b, double tolerance) {
  if (a.points != b.points || a.in_order.size() < 50 || a.in_order.size() != b.in_order.size())
    return false;
  std::size_t same = 0;
  for (std::size_t i = 0; i < a.in_order.size(); ++i)
    same += std::abs(a.in_order[i] - b.in_order[i]) <= tolerance;
  return static_cast<double>(same) >= kOrderShare * static_cast<double>(a.in_order.size());
}

}  // namespace

Fingerprint fingerprint(const Scan& scan) {
  Fingerprint f;
  f.points = scan.facts().points;
  const Points& sample = scan.sample();
  const Box& box = scan.facts().box;
  if (!box.empty())
    f.exactness = kFloatStep * std::max(box.lo.cwiseAbs().maxCoeff(), box.hi.cwiseAbs().maxCoeff());
  if (sample.size() < 3) return f;
  const std::size_t used = std::min(kInOrder, sample.size() - 2);
  for (std::size_t k = 0; k < used; ++k)
    f.in_order.push_back(
        static_cast<float>(second_difference(sample, 1 + k * (sample.size() - 2) / used)));
  return f;
}

std::vector<Neighbourhood> neighbourhoods(const SeenSurface& s) {
  std::vector<Neighbourhood> found;
  if (s.points.size() < 50 || !(s.pitch > 0)) return found;
  double radius = 0;
  const std::vector<std::size_t> near = about_the_middle(s, radius);
  double mu = 0, mv = 0;
  for (const std::size_t i : near) {
    const auto [u, v] = s.across(i);
    mu += u, mv += v;
  }
  mu /= static_cast<double>(near.size()), mv /= static_cast<double>(near.size());
  const double reach = kNear * s.pitch;
  for (std::size_t a = 0; a < near.size(); ++a) {
    const auto [u, v] = s.across(near[a]);
    if (!within(u - mu, v - mv, kInner * radius)) continue;
    std::vector<double> others;
    const auto look = [&](std::size_t b) {
      const auto [x, y] = s.across(near[b]);
      if (within(x - u, y - v, reach)) others.push_back(s.residuals[near[b]]);
    };
    for (std::size_t b = a + 1; b < near.size() && s.across(near[b]).first - u <= reach; ++b)
      look(b);
    for (std::size_t b = a; b > 0 && u - s.across(near[b - 1]).first <= reach; --b) look(b - 1);
    if (static_cast<int>(others.size()) < kLeastNeighbours) continue;
    std::ranges::sort(others);
    double mean = 0;
    for (const double e : others) mean += e / static_cast<double>(others.size());
    const auto off = [&](double e) { return static_cast<float>(e - mean); };
    found.push_back({off(s.residuals[near[a]]),
                     off(others.front()),
                     off(others.back()),
                     off(others[others.size() - 2])});
  }
  return found;
}

void add_feature(Fingerprint& to, const std::vector<Neighbourhood>& of_feature) {
  to.about_neighbours.insert(to.about_neighbours.end(), of_feature.begin(), of_feature.end());
  std::ranges::sort(to.about_neighbours);
  to.noise = noise_of(to.about_neighbours);
}

SameBy same_measurement(const Fingerprint& a, const Fingerprint& b) {
  if (!a.sha256.empty() && a.sha256 == b.sha256) return SameBy::file;
  const double step = std::max(a.step, b.step);
  const double tolerance = kSteps * std::max(a.exactness, b.exactness);
  if (same_order(a, b, std::max(tolerance, 2 * step))) return SameBy::order;
  const double near = kNeighbourSteps * std::max(a.exactness, b.exactness);
  if (step == 0 && near < kTells * std::min(a.noise, b.noise) &&
      shared(a.about_neighbours, b.about_neighbours, near) > kNeighbourShare)
    return SameBy::neighbours;
  return SameBy::no;
}

}  // namespace rigproof
