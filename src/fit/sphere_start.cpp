#include "fit/sphere_start.h"

#include <algorithm>
#include <cmath>

#include "fit/decompose.h"

namespace rigproof {
namespace {

// Extent across over extent along, below which points count as a line or a plane. The scatter
// matrix holds squares: nothing finer than √ε of it is seen.
constexpr double kFlat = 1e-7;

}  // namespace

// Minimising Σ(|q|² − 2 q·a − k)² about the centroid (Σq = 0) splits into S a = ½ Σ|q|²q with
// S = Σqqᵀ, and k = Σ|q|²/n, r² = k + |a|². On a noisy cap the squares pull the radius in by about
// σ²m²/(R·V), however many points there are: good enough to start from, wrong as an answer.
std::vector<Sphere> sphere_starts(const Moments& moments,
                                  const double* fixed_radius,
                                  SphereShape& shape) {
  shape = {};
  if (moments.n == 0 || !moments.scatter.allFinite() || !moments.third.allFinite()) return {};
  const PrincipalAxes p = principal_axes(moments.scatter);
  shape.line = !(p.values[1] > kFlat * kFlat * p.values[2]);
  shape.planar = shape.line || !(p.values[0] > kFlat * kFlat * p.values[2]);
  if (shape.line) return {};

  std::vector<Sphere> starts;
  const Vec3 normal = p.axes.col(0);
  const double k = moments.scatter.trace() / static_cast<double>(moments.n);
  if (!shape.planar) {
    const Vec3 b = p.axes.transpose() * (0.5 * moments.third);
    const Vec3 a = p.axes * b.cwiseQuotient(p.values);
    const Vec3 mirrored = a - 2 * a.dot(normal) * normal;
    const double r = fixed_radius ? *fixed_radius : std::sqrt(k + a.squaredNorm());
    starts.push_back({moments.centroid + a, r});
    starts.push_back({moments.centroid + mirrored, r});
  }
  // On either side of the surface: at the distance that the radius asks for, or a deep cap's.
  const double r2 = fixed_radius ? *fixed_radius * *fixed_radius : 5 * k;
  const double h = std::sqrt(std::max(0.0, r2 - k)), r = std::sqrt(r2);
  starts.push_back({moments.centroid + h * normal, fixed_radius ? *fixed_radius : r});
  starts.push_back({moments.centroid - h * normal, fixed_radius ? *fixed_radius : r});
  return starts;
}

}  // namespace rigproof
