#include <algorithm>
#include <cfloat>
#include <cmath>

#include "fit/decompose.h"
#include "fit/fit.h"
#include "fit/moments.h"
#include "fit/residuals.h"
#include "fit/sphere_start.h"
#include "fit/sphere_step.h"

namespace rigproof {
namespace {

using Eigen::Vector4d;

constexpr double kStep = 1e-12;       // of the radius
constexpr double kGradient = 1e-11;   // cosine between the residuals and a column of J
constexpr double kPlaneLike = 1e6;    // radius over extent, beyond which a sphere is a plane
constexpr std::size_t kProbe = 1024;  // points on which the starts are tried
// Mean normal towards the sensor below which the centre is before the surface. A cap seen from
// inside has −(1+cos α)/2; beyond 120° there is no second minimum to confuse it with.
constexpr double kBefore = -0.25;

struct Descent {
  Sphere sphere;  // centre local
  SphereSums sums;
  Eigen::Matrix4d inverse = Eigen::Matrix4d::Zero();
  int iterations = 0;
  FitStop stop = FitStop::degenerate;
};

// What rounding of the coordinates leaves uncertain in one residual.
double rounding(const Sphere& s) { return 4 * DBL_EPSILON * (s.center.norm() + 2 * s.radius); }

bool small_gradient(const SphereSums& sums, bool hold_radius, double noise) {
  Vector4d g = sums.gradient();
  if (hold_radius) g[3] = 0;
  const double n = sums.weight;
  return g.cwiseAbs().maxCoeff() <= kGradient * std::sqrt(n * sums.dd) + n * noise;
}

bool small_step(const Vector4d& step, const SphereSums& sums, double radius, double noise) {
  if (step.norm() <= kStep * radius) return true;
  // On a very small cap the centre is uncertain by more than that although no residual moves.
  return step.dot(sums.normal() * step) <= sums.weight * noise * noise;
}

// Gauss–Newton with step halving. One pass over the points a trial.
Descent descend(const Points& points,
                const Sphere& start,
                double extent,
                const SphereFitOptions& options) {
  const bool hold = options.fixed_radius_mm.has_value();
  Descent at{start, sphere_sums(points, start.center, start.radius, {}, options.threads)};
  while (true) {
    const double noise = rounding(at.sphere);
    if (!std::isfinite(at.sums.dd) || at.sphere.radius > kPlaneLike * extent ||
        !invert_normal(at.sums.normal(), hold, at.inverse)) {
      at.stop = FitStop::degenerate;
      return at;
    }
    Vector4d step = -at.inverse * at.sums.gradient();
    const bool last = small_step(step, at.sums, at.sphere.radius, noise);
    if (last && small_gradient(at.sums, hold, noise)) {
      at.stop = FitStop::converged;
      return at;
    }
    if (at.iterations >= options.max_iterations) {
      at.stop = FitStop::max_iterations;
      return at;
    }
    // As much more as rounding of every residual can make of the same sum.
    const double root = std::sqrt(at.sums.dd) + std::sqrt(at.sums.weight) * noise;
    const double bound = root * root * (1 + 1e-12);
    for (int halving = 0;; ++halving, step *= 0.5) {
      const Sphere trial{at.sphere.center + step.head<3>(), at.sphere.radius + step[3]};
      const SphereSums sums = sphere_sums(points, trial.center, trial.radius, {}, options.threads);
      if (sums.dd <= bound) {
        at.sphere = trial;
        at.sums = sums;
        ++at.iterations;
        break;
      }
      if (halving == 60) {  // no descent left in double precision
        at.stop =
            small_gradient(at.sums, hold, noise) ? FitStop::converged : FitStop::max_iterations;
        return at;
      }
    }
  }
}

// Every k-th point: enough to tell which starts lead to which minimum.
Points probe_of(const Points& points) {
  Points probe;
  probe.origin = points.origin;
  probe.reserve(kProbe);
  for (std::size_t k = 0; k < kProbe; ++k) {
    const std::size_t i = k * points.size() / kProbe;
    probe.push_local(points.x[i], points.y[i], points.z[i]);
  }
  return probe;
}

bool before_surface(const Descent& d, const Points& points, const SphereFitOptions& options) {
  if (!options.sensor) return false;
  const Vec3 to_sensor = *options.sensor - points.origin - d.sphere.center;
  return d.sums.n.dot(to_sensor) < kBefore * d.sums.weight * to_sensor.norm();
}

bool same_minimum(const Descent& a, const Descent& b) {
  return (a.sphere.center - b.sphere.center).norm() <=
         1e-6 * std::max(a.sphere.radius, b.sphere.radius);
}

// The minima that are reached from `starts`, without those that the sensor excludes.
std::vector<Descent> minima(const Points& points,
                            const std::vector<Sphere>& starts,
                            double extent,
                            const SphereFitOptions& options,
                            std::vector<Descent>& excluded) {
  std::vector<Descent> found;
  for (const Sphere& start : starts) {
    const Descent d = descend(points, start, extent, options);
    const bool good = d.stop == FitStop::converged && !before_surface(d, points, options);
    auto& list = good ? found : excluded;
    if (std::ranges::none_of(list, [&](const Descent& o) { return same_minimum(o, d); }))
      list.push_back(d);
  }
  return found;
}

std::vector<Sphere> explored_starts(const Points& points,
                                    const std::vector<Sphere>& starts,
                                    double extent,
                                    const SphereFitOptions& options) {
  if (points.size() <= 4 * kProbe) return starts;
  std::vector<Descent> excluded;
  std::vector<Sphere> explored;
  for (const Descent& d : minima(probe_of(points), starts, extent, options, excluded))
    explored.push_back(d.sphere);
  return explored.empty() ? starts : explored;
}

SphereFit report(const Descent& d,
                 FitStop stop,
                 const Points& points,
                 const SphereFitOptions& options) {
  SphereFit fit;
  fit.sphere = {points.origin + d.sphere.center, d.sphere.radius};
  fit.residuals = sphere_residual_stats(points, fit.sphere, options.threads);
  fit.cofactor = d.inverse;
  fit.iterations = d.iterations;
  fit.stop = stop;
  return fit;
}

bool smaller(const Descent& a, const Descent& b) { return a.sums.dd < b.sums.dd; }

// Two minima of one sum of squares: nothing in the points tells them apart.
bool tied(const std::vector<Descent>& found) {
  if (found.size() < 2) return false;
  const Descent &a = found[0], &b = found[1];
  const double noise = rounding(a.sphere);
  return b.sums.dd - a.sums.dd <= 1e-9 * a.sums.dd + a.sums.weight * noise * noise;
}

}  // namespace

std::string to_string(FitStop stop) {
  switch (stop) {
    case FitStop::not_run:
      return "not run";
    case FitStop::converged:
      return "converged";
    case FitStop::max_iterations:
      return "iteration limit reached";
    case FitStop::degenerate:
      return "degenerate points";
  }
  return "unknown";
}

SphereFit fit_sphere(const Points& points, const SphereFitOptions& options) {
  const bool hold = options.fixed_radius_mm.has_value();
  const double* radius = hold ? &*options.fixed_radius_mm : nullptr;
  SphereFit none;
  none.stop = FitStop::degenerate;
  if (points.size() < (hold ? 3 : 4) || (hold && !(*radius > 0))) return none;

  const Moments m = moments(points, options.threads);
  SphereShape shape;
  std::vector<Sphere> starts = sphere_starts(m, radius, shape);
  if (shape.line || (shape.planar && !hold)) return none;
  starts = explored_starts(points, starts, m.spread(), options);

  std::vector<Descent> excluded;
  std::vector<Descent> found = minima(points, starts, m.spread(), options, excluded);
  std::ranges::sort(found, smaller);
  if (!found.empty())
    return report(
        found[0], tied(found) ? FitStop::degenerate : FitStop::converged, points, options);
  const Descent& best = *std::ranges::min_element(excluded, smaller);
  const bool unfinished = best.stop == FitStop::max_iterations;
  return report(best, unfinished ? best.stop : FitStop::degenerate, points, options);
}

SphereFit fit_sphere_from(const Points& points,
                          const Sphere& start,
                          const SphereFitOptions& options) {
  const bool hold = options.fixed_radius_mm.has_value();
  if (points.size() < (hold ? 3 : 4)) return fit_sphere(points, options);
  const Moments m = moments(points, options.threads);
  SphereShape shape;
  sphere_starts(m, nullptr, shape);
  if (shape.line || (shape.planar && !hold)) return fit_sphere(points, options);

  const Sphere local{start.center - points.origin, hold ? *options.fixed_radius_mm : start.radius};
  const Descent d = descend(points, local, m.spread(), options);
  if (d.stop != FitStop::converged || before_surface(d, points, options))
    return fit_sphere(points, options);
  return report(d, FitStop::converged, points, options);
}

}  // namespace rigproof
