#include "evaluate/dispersion.h"

#include <algorithm>
#include <cmath>
#include <numbers>

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

// Ring and sector of a direction; the rings end where 1, 9 and 25 twenty-fifths of the cap's solid
// angle do.
int patch_of(double along, double azimuth, double cap_cosine) {
  const double share = 25 * (1 - along) / (1 - cap_cosine);
  const double turn = azimuth / (2 * std::numbers::pi) + 0.5;
  if (share < 1) return 0;
  if (share < 9) return 1 + std::min(7, static_cast<int>(turn * 8));
  return 9 + std::min(15, static_cast<int>(turn * 16));
}

}  // namespace

double shortest_interval(std::vector<double> values, double share) {
  const Interval i = shortest(std::move(values), share);
  return i.hi - i.lo;
}

double free_shell_width(const BallFeature& ball, double share) {
  Sphere about = ball.fit_all.sphere;
  double best = INFINITY;
  for (int round = 0; round < kRounds; ++round) {
    const std::vector<double> d = sphere_residuals(ball.zone, about);
    const Interval i = shortest(d, share);
    if (!(i.hi - i.lo < best * (1 - 1e-9))) break;
    best = i.hi - i.lo;
    Points held;
    held.origin = ball.zone.origin;
    for (std::size_t k = 0; k < d.size(); ++k)
      if (d[k] >= i.lo && d[k] <= i.hi)
        held.push_local(ball.zone.x[k], ball.zone.y[k], ball.zone.z[k]);
    const SphereZone narrow = minimum_zone_sphere(held, about);
    about = {narrow.center, 0.5 * (narrow.inner + narrow.outer)};
  }
  return best;
}

std::optional<Points> patch_points(const BallFeature& ball, double cap_half_angle_deg) {
  struct Sum {
    Vec3 direction = Vec3::Zero();
    double radius = 0;
    std::size_t n = 0;
  };
  std::array<Sum, 25> sums;
  const Vec3 c = ball.fit_all.sphere.center - ball.zone.origin;
  const auto [u, v] = across(ball.cap_axis);
  const double cap = std::cos(std::min(180.0, cap_half_angle_deg) * std::numbers::pi / 180);
  for (std::size_t i = 0; i < ball.zone.size(); ++i) {
    const Vec3 d = ball.zone.local(i) - c;
    const double r = d.norm();
    Sum& s = sums[static_cast<std::size_t>(
        patch_of(d.dot(ball.cap_axis) / r, std::atan2(d.dot(v), d.dot(u)), cap))];
    s.direction += d / r;
    s.radius += r;
    ++s.n;
  }
  Points means;
  means.origin = ball.zone.origin;
  for (const Sum& s : sums) {
    if (s.n == 0) return std::nullopt;
    const Vec3 p = c + s.direction.normalized() * (s.radius / static_cast<double>(s.n));
    means.push_local(p.x(), p.y(), p.z());
  }
  return means;
}

}  // namespace rigproof
