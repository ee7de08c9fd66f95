#include "locate/ball_refine.h"

#include <algorithm>
#include <cmath>

#include "fit/fit.h"
#include "fit/sphere_step.h"

namespace rigproof {
namespace {

constexpr double kTukey = 3.5;
constexpr double kFirstGate = 0.3;  // in radii
constexpr double kCooling = 0.7;    // of the gate, an iteration
// The scatter is judged in a window at least this wide (radii): a gate that judged itself could
// settle on a thin slice of a noisy or quantised surface.
constexpr double kLeastWindow = 0.06;
constexpr int kHeld = 2;  // iterations with the radius held
constexpr int kMostIterations = 60;
constexpr std::size_t kLeastPoints = 8;

double median(std::vector<double>& v) {
  if (v.empty()) return 0;
  const auto middle = v.begin() + v.size() / 2;
  std::ranges::nth_element(v, middle);
  return *middle;
}

/// The same, looked for about `guess` first: only values that lie there have to be put in order.
double median_near(std::vector<double>& v, double guess) {
  const double lo = 0.8 * guess, hi = 1.25 * guess;
  std::size_t below = 0;
  std::vector<double> between;
  for (const double x : v) {
    below += x < lo;
    if (x >= lo && x <= hi) between.push_back(x);
  }
  const std::size_t rank = v.size() / 2;
  if (rank < below || rank >= below + between.size()) return median(v);
  const auto there = between.begin() + static_cast<std::ptrdiff_t>(rank - below);
  std::ranges::nth_element(between, there);
  return *there;
}

/// Standard deviation of a normal distribution over its median of |deviation|.
constexpr double kScatter = 1.4826;

}  // namespace

Surrounding surrounding(const Scene& scene,
                        int level,
                        const SceneLevel& cells,
                        const Vec3& center,
                        const SurroundingOptions& options) {
  const double half_diagonal = 0.87 * cells.grid.edge();
  const double least_cos = std::cos(options.normal_within_deg * M_PI / 180);
  std::vector<std::size_t> taken;
  std::vector<double> noises;
  double total = 0;
  cells.grid.for_cells_near(center, options.outer_mm + half_diagonal, [&](std::size_t c) {
    const double distance = (cells.grid.middle(c) - center).norm();
    if (distance < options.inner_mm - half_diagonal) return;
    const Patch& patch = cells.patches[c];
    if (patch.valid()) {
      const Vec3 radial = patch.mean - center;
      const double cosine = std::abs(patch.normal.dot(radial)) / std::max(radial.norm(), 1e-300);
      if (options.normal_within_deg < 90 && cosine < least_cos) return;
      noises.push_back(patch.noise);
    }
    taken.push_back(c);
    total += cells.grid.moments(c).n;
  });
  Surrounding around;
  around.points.origin = center;
  around.noise = median(noises);
  around.stride = std::max<std::size_t>(
      1, static_cast<std::size_t>(total / static_cast<double>(options.most_points)));
  const double inner2 = options.inner_mm * options.inner_mm;
  const double outer2 = options.outer_mm * options.outer_mm;
  std::size_t skip = 0;
  for (std::size_t c : taken)
    scene.for_points(level, c, [&](std::uint32_t i) {
      if (skip > 0) return void(--skip);
      skip = around.stride - 1;
      const Vec3 q = scene.points().local(i) - center;
      const double s = q.squaredNorm();
      if (s < inner2 || s > outer2) return;
      around.points.push_local(q.x(), q.y(), q.z());
      around.indices.push_back(i);
    });
  return around;
}

BallRefined refine_ball(const Surrounding& around,
                        double start_radius,
                        double first_gate,
                        double precision) {
  const Points& points = around.points;
  BallRefined refined;
  refined.noise = around.noise;
  refined.sphere = {points.origin, start_radius};
  Vec3 center = Vec3::Zero();
  double radius = start_radius;
  double gate = std::clamp(first_gate, 1e-6 * start_radius, kFirstGate * start_radius);
  const double floor = std::clamp(kTukey * 0.5 * around.noise, 1e-9 * start_radius, gate);
  std::vector<double> weights(points.size()), inside;
  bool cooling = true;
  for (int i = 0; i < kMostIterations; ++i) {
    inside.clear();
    const std::vector<double> d = sphere_residuals(points, {points.origin + center, radius}, 1);
    const double window = std::max(gate, kLeastWindow * start_radius);
    for (std::size_t k = 0; k < points.size(); ++k) {
      const double t = d[k] / gate, u = 1 - t * t;
      weights[k] = u > 0 ? u * u : 0;
      if (std::abs(d[k]) < window) inside.push_back(std::abs(d[k]));
    }
    refined.points = inside.size();
    if (inside.size() < kLeastPoints) return refined;
    const SphereSums sums = sphere_sums(points, center, radius, weights, 1);
    const auto step = sphere_step(sums, i < kHeld);
    if (!step) return refined;
    center += step->head<3>();
    radius += (*step)[3];
    const double moved = step->norm();
    if (!(radius > 0.3 * start_radius && radius < 3 * start_radius) ||
        center.norm() > 2 * start_radius || !std::isfinite(moved))
      return refined;
    // Cooling goes on until the gate is as narrow as the noise allows, or its scatter says so.
    double next = std::max(floor, kCooling * gate);
    if (!cooling) {
      refined.scatter = kScatter * median_near(inside, refined.scatter / kScatter);
      next = 0.5 * (gate + std::clamp(kTukey * refined.scatter, floor, kFirstGate * start_radius));
    }
    if (cooling && next <= std::max(1.5 * kTukey * around.noise, floor)) cooling = false;
    const bool settled =
        !cooling && moved < precision * radius && std::abs(next - gate) < 1e-3 * gate;
    gate = next;
    if (settled) break;
  }
  refined.scatter = kScatter * median(inside);
  refined.sphere = {points.origin + center, radius};
  refined.ok = true;
  return refined;
}

}  // namespace rigproof
