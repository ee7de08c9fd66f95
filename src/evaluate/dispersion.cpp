#include "evaluate/dispersion.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

#include "evaluate/cap.h"

namespace rigproof {
namespace {

constexpr int kRounds = 12;

struct Interval {
  double lo = 0, hi = 0;
};

Interval shortest(std::vector<double> values, double share) {
  if (values.empty()) return {};
  std::ranges::sort(values);
  const auto n = static_cast<double>(values.size());
  const auto held = std::clamp<std::size_t>(
      static_cast<std::size_t>(std::ceil(share * n * (1 - 1e-12))), 1, values.size());
  Interval best{values.front(), values[held - 1]};
  for (std::size_t i = 1; i + held <= values.size(); ++i)
    if (values[i + held - 1] - values[i] < best.hi - best.lo)
      best = {values[i], values[i + held - 1]};
  return best;
}

int total(const std::vector<int>& rings) { return std::accumulate(rings.begin(), rings.end(), 0); }

// Patch of a direction: a ring of k patches covers k/total of the cap's solid angle.
int patch_of(double along, double azimuth, double cap_cosine, const std::vector<int>& rings) {
  const double share = total(rings) * (1 - along) / (1 - cap_cosine);
  const double turn = azimuth / (2 * std::numbers::pi) + 0.5;
  int before = 0;
  for (std::size_t k = 0; k < rings.size(); ++k) {
    if (share < before + rings[k] || k + 1 == rings.size())
      return before + std::min(rings[k] - 1, static_cast<int>(turn * rings[k]));
    before += rings[k];
  }
  return 0;
}

}  // namespace

double shortest_interval(std::vector<double> values, double share) {
  const Interval i = shortest(std::move(values), share);
  return i.hi - i.lo;
}

double concentric_shell_width(const Points& points, const Sphere& fit, double share) {
  return shortest_interval(sphere_residuals(points, fit), share);
}

double free_shell_width(const Points& points, const Sphere& fit, double share) {
  Sphere about = fit;
  double best = INFINITY;
  for (int round = 0; round < kRounds; ++round) {
    const std::vector<double> d = sphere_residuals(points, about);
    const Interval i = shortest(d, share);
    if (!(i.hi - i.lo < best * (1 - 1e-9))) break;
    best = i.hi - i.lo;
    Points held;
    held.origin = points.origin;
    for (std::size_t k = 0; k < d.size(); ++k)
      if (d[k] >= i.lo && d[k] <= i.hi) held.push_local(points.x[k], points.y[k], points.z[k]);
    const SphereZone narrow = minimum_zone_sphere(held, about);
    about = {narrow.center, 0.5 * (narrow.inner + narrow.outer)};
  }
  return best;
}

double shell_width(const Points& points, const Sphere& fit, double share, ShellRule rule) {
  return rule == ShellRule::free ? free_shell_width(points, fit, share)
                                 : concentric_shell_width(points, fit, share);
}

std::optional<Points> patch_points(const Points& points,
                                   const Sphere& fit,
                                   const CapPatches& patches) {
  struct Sum {
    Vec3 direction = Vec3::Zero();
    double radius = 0;
    std::size_t n = 0;
  };
  std::vector<Sum> sums(static_cast<std::size_t>(total(patches.rings)));
  const Vec3 c = fit.center - points.origin;
  const auto [u, v] = across(patches.axis);
  const double cap = std::cos(std::min(180.0, patches.half_angle_deg) * std::numbers::pi / 180);
  for (std::size_t i = 0; i < points.size(); ++i) {
    const Vec3 d = points.local(i) - c;
    const double r = d.norm();
    Sum& s = sums[static_cast<std::size_t>(
        patch_of(d.dot(patches.axis) / r, std::atan2(d.dot(v), d.dot(u)), cap, patches.rings))];
    s.direction += d / r;
    s.radius += r;
    ++s.n;
  }
  Points means;
  means.origin = points.origin;
  for (const Sum& s : sums) {
    if (s.n == 0) return std::nullopt;
    const Vec3 p = c + s.direction.normalized() * (s.radius / static_cast<double>(s.n));
    means.push_local(p.x(), p.y(), p.z());
  }
  return means;
}

std::optional<SphereFit> patch_fit(const Points& points,
                                   const Sphere& fit,
                                   const CapPatches& patches) {
  const auto means = patch_points(points, fit, patches);
  if (!means) return std::nullopt;
  const SphereFit through = fit_sphere_from(*means, fit);
  if (!through.ok()) return std::nullopt;
  return through;
}

}  // namespace rigproof
