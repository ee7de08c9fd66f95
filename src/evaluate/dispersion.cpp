#include "evaluate/dispersion.h"

#include <algorithm>
#include <cmath>

namespace rigproof {
namespace {

constexpr int kRounds = 12;
constexpr double kSame = 1e-9;  // mm: two ends closer than this are one

struct Interval {
  double lo = 0, hi = 0;
  std::size_t below = 0, held = 0;
};

Interval shortest(std::vector<double> values, double share) {
  if (values.empty()) return {};
  std::ranges::sort(values);
  const auto n = static_cast<double>(values.size());
  const auto held = std::clamp<std::size_t>(
      static_cast<std::size_t>(std::ceil(share * n * (1 - 1e-12))), 1, values.size());
  Interval best{values.front(), values[held - 1], 0, held};
  for (std::size_t i = 1; i + held <= values.size(); ++i)
    if (values[i + held - 1] - values[i] < best.hi - best.lo)
      best = {values[i], values[i + held - 1], i, held};
  return best;
}

// The first point at either end of the interval of residuals.
Enclosure enclosure(const std::string& name,
                    const Points& points,
                    const std::vector<double>& residuals,
                    const Interval& i) {
  Enclosure e;
  e.name = name;
  e.low = i.lo;
  e.high = i.hi;
  e.width = i.hi - i.lo;
  e.points = points.size();
  e.held = i.held;
  e.below = i.below;
  const auto at = [&](double end) {
    return points.at(
        static_cast<std::size_t>(std::ranges::find(residuals, end) - residuals.begin()));
  };
  if (i.held > 0) {
    e.low_points = {at(i.lo)};
    e.high_points = {at(i.hi)};
  }
  return e;
}

Enclosure shell_about(const std::string& name,
                      const Points& points,
                      const Sphere& about,
                      const std::vector<double>& residuals,
                      const Interval& i) {
  Enclosure e = enclosure(name, points, residuals, i);
  e.center = about.center;
  e.low += about.radius;
  e.high += about.radius;
  return e;
}

}  // namespace

double shortest_interval(std::vector<double> values, double share) {
  const Interval i = shortest(std::move(values), share);
  return i.hi - i.lo;
}

Enclosure concentric_shell(const Points& points, const Sphere& fit, double share) {
  const std::vector<double> d = sphere_residuals(points, fit);
  return shell_about("concentric_shell", points, fit, d, shortest(d, share));
}

Enclosure free_shell(const Points& points, const Sphere& fit, double share) {
  Sphere about = fit;
  Enclosure best;
  best.width = INFINITY;
  SphereZone narrow;
  for (int round = 0; round < kRounds; ++round) {
    const std::vector<double> d = sphere_residuals(points, about);
    const Interval i = shortest(d, share);
    if (!(i.hi - i.lo < best.width * (1 - 1e-9))) break;
    best = shell_about("free_shell", points, about, d, i);
    // Where the shell is the minimum zone that gave its centre, that zone's contacts hold it.
    if (std::abs(best.low - narrow.inner) < kSame && std::abs(best.high - narrow.outer) < kSame) {
      best.low_points = narrow.inner_points;
      best.high_points = narrow.outer_points;
    }
    Points held;
    held.origin = points.origin;
    for (std::size_t k = 0; k < d.size(); ++k)
      if (d[k] >= i.lo && d[k] <= i.hi) held.push_local(points.x[k], points.y[k], points.z[k]);
    narrow = minimum_zone_sphere(held, about);
    about = {narrow.center, 0.5 * (narrow.inner + narrow.outer)};
  }
  return best;
}

Enclosure shell(const Points& points, const Sphere& fit, double share, ShellRule rule) {
  return rule == ShellRule::free ? free_shell(points, fit, share)
                                 : concentric_shell(points, fit, share);
}

Enclosure parallel_planes(const Points& points, const Plane& fit, double share) {
  const std::vector<double> d = plane_residuals(points, fit);
  Enclosure e = enclosure("parallel_planes", points, d, shortest(d, share));
  e.sphere = false;
  e.center = fit.point;
  e.normal = fit.normal;
  return e;
}

}  // namespace rigproof
