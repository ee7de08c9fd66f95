#include "locate/ball_check.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Geometry>
#include <fmt/format.h>

#include "fit/decompose.h"
#include "fit/sphere_step.h"
#include "locate/directions.h"

namespace rigproof {
namespace {

constexpr double kGate = 4;         // in scatters: on the surface
constexpr double kLookedOut = 0.4;  // radii beyond the surface in which points speak against it
constexpr double kPointsPerBin = 4;
// A cap of half-angle α rises by α/4 of its width above flat; below this, 1 %, it is as flat as a
// plate may be (smooth_bodies.cpp).
constexpr double kFlatterThanDeg = 2.3;

struct Bin {
  int on = 0, off = 0;
  Vec3 sum = Vec3::Zero();
  bool good() const { return on > off; }
};

/// Angle within which a share of a uniformly covered cap lies, turned into the cap's half-angle.
double cap_from_quantile(double angle, double share) {
  return std::acos(std::clamp(1 - (1 - std::cos(angle)) / share, -1.0, 1.0));
}

/// The cap that the good directions fill: the angle about `axis` that gathers most of them when
/// every other direction inside costs kEmptyCosts. Lone directions far from the cap, in which a
/// stray lies on the sphere by chance, do not pay for the way to them.
double filled_cap(const std::vector<Bin>& bins, const Directions& directions, const Vec3& axis) {
  constexpr double kEmptyCosts = 0.5;
  std::vector<std::pair<double, std::uint32_t>> order;
  for (std::uint32_t b = 0; b < bins.size(); ++b)
    order.push_back({-directions.middle(b).dot(axis), b});
  std::ranges::sort(order);
  double gain = 0, best = 0, cosine = 1;
  for (const auto& [minus_cosine, b] : order) {
    gain += bins[b].good() ? 1 : -kEmptyCosts;
    if (gain >= best) {
      best = gain;
      cosine = -minus_cosine;
    }
  }
  return std::acos(std::clamp(cosine, -1.0, 1.0));
}

/// Mean of the good directions within `cap` of `axis`; `axis` itself where they cancel.
Vec3 mean_direction(const std::vector<Bin>& bins,
                    const Directions& directions,
                    const Vec3& axis,
                    double cap) {
  Vec3 sum = Vec3::Zero();
  double n = 0;
  for (std::size_t b = 0; b < bins.size(); ++b)
    if (bins[b].good() && directions.middle(b).dot(axis) >= std::cos(cap)) {
      sum += bins[b].sum.normalized();
      n += 1;
    }
  return sum.norm() > 0.1 * n ? Vec3(sum.normalized()) : axis;
}

/// Least squares of the residuals on cos 2φ and sin 2φ times sin²θ about the axis, beside a mean, a
/// tilt and a curvature: what is left of a cylinder, a cone or a saddle when a sphere is taken out.
/// A surface with principal curvatures (1 ± a/2)/R gives a/4 · sin²θ cos 2φ · R.
void add_astigmatism(const Points& points,
                     const std::vector<std::size_t>& on,
                     const std::vector<double>& d,
                     double radius,
                     BallEvidence& e) {
  const Vec3 helper = std::abs(e.axis.x()) < 0.7 ? Vec3::UnitX() : Vec3::UnitY();
  const Vec3 u = e.axis.cross(helper).normalized(), v = e.axis.cross(u);
  Eigen::Matrix<double, 6, 6> normal = Eigen::Matrix<double, 6, 6>::Zero();
  Eigen::Matrix<double, 6, 1> right = Eigen::Matrix<double, 6, 1>::Zero();
  for (std::size_t i : on) {
    const Vec3 n = points.local(i).normalized();
    const double a = n.dot(u), b = n.dot(v);
    Eigen::Matrix<double, 6, 1> row;
    row << 1, a, b, a * a + b * b, a * a - b * b, 2 * a * b;
    normal.selfadjointView<Eigen::Lower>().rankUpdate(row);
    right += d[i] / radius * row;
  }
  // Eliminate the first four columns; what is left is the 2×2 system of the two wanted ones.
  normal = normal.selfadjointView<Eigen::Lower>();
  for (int k = 0; k < 4; ++k) {
    if (!(normal(k, k) > 1e-12 * static_cast<double>(on.size()))) return;
    for (int i = k + 1; i < 6; ++i) {
      const double f = normal(i, k) / normal(k, k);
      normal.row(i) -= f * normal.row(k);
      right[i] -= f * right[k];
    }
  }
  const double p = normal(4, 4), q = normal(4, 5), r = normal(5, 5), det = p * r - q * q;
  if (!(det > 1e-12 * p * r) || !(p > 0)) return;
  const double x = (r * right[4] - q * right[5]) / det, y = (p * right[5] - q * right[4]) / det;
  e.astigmatism = 4 * std::hypot(x, y);
  e.u_astigmatism = 4 * e.scatter / radius * std::sqrt((p + r) / det);
}

/// Standard deviation of a free radius for unit noise; huge when the points do not determine it.
double radius_cofactor(const Points& points, const std::vector<std::size_t>& on, double radius) {
  Points surface;
  surface.reserve(on.size());
  for (std::size_t i : on) surface.push_local(points.x[i], points.y[i], points.z[i]);
  Eigen::Matrix4d cofactor;
  if (!invert_normal(sphere_sums(surface, Vec3::Zero(), radius, {}, 1).normal(), false, cofactor))
    return 1e9;
  return std::sqrt(std::max(0.0, cofactor(3, 3)));
}

/// Root mean square deviation of the shape: variance of the mean residuals of directions beyond
/// what the scatter within them explains, less twice its own uncertainty. White noise gives nothing
/// however strong it is, a box or a mug gives its shape.
double form_of(const Points& points,
               const std::vector<std::size_t>& on,
               const std::vector<double>& d,
               double seen) {
  constexpr double kPointsPerDirection = 12, kMostDirections = 40;
  const double count = static_cast<double>(on.size()) / kPointsPerDirection;
  const Directions directions(std::clamp(count, 4.0, kMostDirections) / seen);
  struct Sum {
    double n = 0, d = 0, dd = 0;
  };
  std::vector<Sum> sums(directions.size());
  for (std::size_t i : on) {
    Sum& s = sums[directions.bin(points.local(i))];
    s.n += 1;
    s.d += d[i];
    s.dd += d[i] * d[i];
  }
  double between = 0, explained = 0, bins = 0, within = 0, freedom = 0;
  for (const Sum& s : sums) {
    if (s.n < 3) continue;
    between += s.d * s.d / (s.n * s.n);
    explained += 1 / s.n;
    within += s.dd - s.d * s.d / s.n;
    freedom += s.n - 1;
    bins += 1;
  }
  if (bins < 5) return 0;
  const double noise2 = within / freedom * explained / bins;  // of a bin's mean
  const double excess = between / (bins - 4) - noise2 * (1 + 2 * std::sqrt(2 / (bins - 4)));
  return std::sqrt(std::max(0.0, excess));
}

/// Noise of the surface on a scale much smaller than the ball: scatter about a sphere that is
/// larger than this is shape. Falls back to `coarse` where the points are too few to tell.
double fine_noise(const Points& points,
                  const std::vector<std::size_t>& on,
                  double radius,
                  double cap,
                  double coarse) {
  constexpr double kPointsPerCell = 6, kFinest = 1.0 / 16, kCoarsest = 1.0 / 5;
  const double area = 2 * M_PI * radius * radius * (1 - std::cos(cap));
  const double edge = std::max(kFinest * radius, std::sqrt(kPointsPerCell * area / on.size()));
  if (edge > kCoarsest * radius) return coarse;
  Points surface;
  surface.reserve(on.size());
  for (std::size_t i : on) surface.push_local(points.x[i], points.y[i], points.z[i]);
  std::vector<double> noises;
  for (const Patch& patch : make_patches(CellGrid(surface, edge, Vec3::Zero(), 1), 1))
    if (patch.n >= 12) noises.push_back(patch.noise);
  if (noises.size() < 12) return coarse;
  std::ranges::nth_element(noises, noises.begin() + noises.size() / 2);
  return noises[noises.size() / 2];
}

}  // namespace

BallEvidence gather_evidence(
    const Scene& scene, int level, const SceneLevel& cells, const BallRefined& ball, Look look) {
  constexpr std::size_t kGlancePoints = 600, kClosePoints = 8192;
  const double radius = ball.sphere.radius;
  const double gate = std::max(kGate * ball.scatter, 1e-6 * radius);
  SurroundingOptions options;
  options.outer_mm = radius * (1 + kLookedOut) + gate;
  options.most_points = look == Look::glance ? kGlancePoints : kClosePoints;
  const Surrounding around = surrounding(scene, level, cells, ball.sphere.center, options);
  const Points& points = around.points;

  std::vector<double> d(points.size());
  Vec3 raw = Vec3::Zero();
  std::size_t on_count = 0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const double distance = points.local(i).norm();
    d[i] = distance - radius;
    if (std::abs(d[i]) > gate || distance == 0) continue;
    raw += points.local(i) / distance;
    ++on_count;
  }
  BallEvidence e;
  if (on_count == 0) return e;
  const std::optional<Vec3>& sensor = scene.sensor();
  const Vec3 towards =
      sensor ? Vec3((*sensor - ball.sphere.center).normalized()) : Vec3(-Vec3::UnitZ());
  // Bins as fine as the points allow: a few points each on the part that was seen.
  constexpr double kMostBins = 1500, kSeenBins = 45;
  const double seen = 1 - raw.norm() / static_cast<double>(on_count);
  e.half_angle_deg = std::acos(std::clamp(1 - 2 * seen, -1.0, 1.0)) * 180 / M_PI;
  if (e.half_angle_deg < kFlatterThanDeg) return e;
  const Directions directions(
      std::clamp(on_count / kPointsPerBin / seen, 24.0, std::max(kMostBins, kSeenBins / seen)));
  std::vector<Bin> bins(directions.size());
  std::vector<std::uint32_t> bin_of(points.size());
  for (std::size_t i = 0; i < points.size(); ++i) {
    const Vec3 q = points.local(i);
    bin_of[i] = directions.bin(q);
    Bin& bin = bins[bin_of[i]];
    if (std::abs(d[i]) > gate) {
      ++bin.off;
    } else {
      ++bin.on;
      bin.sum += q;
    }
  }
  e.axis = raw.norm() > 0.1 * static_cast<double>(on_count) ? Vec3(raw.normalized()) : towards;
  double cap = M_PI;
  for (int round = 0; round < 3; ++round) {
    cap = filled_cap(bins, directions, e.axis);
    e.axis = mean_direction(bins, directions, e.axis, cap);
  }

  // Finer than the bins: each good direction counts alike, however densely it was sampled.
  const double reach = cap + 2 / std::sqrt(static_cast<double>(directions.size()));
  std::vector<std::pair<double, double>> angles;  // angle, weight
  for (std::size_t i = 0; i < points.size(); ++i) {
    const Bin& bin = bins[bin_of[i]];
    if (std::abs(d[i]) > gate || !bin.good()) continue;
    const double angle = std::acos(std::clamp(points.local(i).normalized().dot(e.axis), -1.0, 1.0));
    if (angle <= reach) angles.push_back({angle, 1.0 / bin.on});
  }
  std::ranges::sort(angles);
  constexpr double kShare = 0.97;
  double good = 0, sum = 0;
  for (const auto& a : angles) good += a.second;
  for (const auto& a : angles) {
    sum += a.second;
    cap = a.first;
    if (sum >= kShare * good) break;
  }
  cap = cap_from_quantile(cap, kShare);
  e.half_angle_deg = cap * 180 / M_PI;

  double inside = 0, good_inside = 0, bad_inside = 0;
  for (std::size_t b = 0; b < bins.size(); ++b) {
    if (directions.middle(b).dot(e.axis) < std::cos(cap)) continue;
    inside += 1;
    if (bins[b].good())
      good_inside += 1;
    else if (bins[b].off > 0)
      bad_inside += 1;
  }
  e.coverage = inside > 0 ? good_inside / inside : 0;
  e.purity = good_inside > 0 ? good_inside / (good_inside + bad_inside) : 0;

  std::vector<std::size_t> on;
  std::vector<double> sizes;
  for (std::size_t i = 0; i < points.size(); ++i)
    if (std::abs(d[i]) <= gate && bins[bin_of[i]].good() &&
        points.local(i).dot(e.axis) >= std::cos(cap) * points.local(i).norm()) {
      on.push_back(i);
      sizes.push_back(std::abs(d[i]));
    }
  if (!sizes.empty()) {
    std::ranges::nth_element(sizes, sizes.begin() + sizes.size() / 2);
    e.scatter = 1.4826 * sizes[sizes.size() / 2];
  }
  e.form = form_of(points, on, d, std::max(0.01, 0.5 * (1 - std::cos(cap))));
  if (look == Look::glance) {
    e.support = on_count * around.stride;
    return e;
  }
  add_astigmatism(points, on, d, radius, e);
  e.u_radius = e.scatter * radius_cofactor(points, on, radius);
  e.noise = fine_noise(points, on, radius, cap, ball.noise);

  cells.grid.for_cells_near(
      ball.sphere.center, radius + gate + 0.87 * cells.grid.edge(), [&](std::size_t c) {
        scene.for_points(level, c, [&](std::uint32_t i) {
          if (std::abs(ball.sphere.deviation(scene.points().local(i))) <= gate) ++e.support;
        });
      });
  return e;
}

bool is_hopeless(const BallRefined& ball,
                 const BallEvidence& e,
                 const BallDemands& demands,
                 const std::optional<Vec3>& sensor) {
  // Twice what objection() allows, or more: a glance sees less sharply.
  constexpr double kMostScatter = 0.18, kMostForm = 0.07, kHollow = -0.5;
  const double r = ball.sphere.radius;
  const double ratio = demands.nominal_radius > 0 ? r / demands.nominal_radius : 1;
  return e.support < 20 || e.scatter > kMostScatter * r || e.form > kMostForm * r ||
         e.purity < 0.4 || e.coverage < 0.2 || e.half_angle_deg < kFlatterThanDeg || ratio < 0.5 ||
         ratio > 2 || (sensor && e.axis.dot((*sensor - ball.sphere.center).normalized()) < kHollow);
}

Objection objection(const BallRefined& ball,
                    const BallEvidence& e,
                    const BallDemands& demands,
                    const std::optional<Vec3>& sensor) {
  // Where the size is not known either, chance finds more that looks like a ball.
  const bool known = demands.nominal_radius > 0;
  const double least_support = known ? 30 : 60;
  const double most_scatter = known ? 0.13 : 0.06, least_cap = known ? 22 : 30;
  const double most_u_radius = known ? 0.05 : 0.03, most_form = known ? 0.035 : 0.025;
  constexpr double kLeastCoverage = 0.4, kLeastPurity = 0.6;
  constexpr double kNoiseFactor = 2.5, kForm = 0.015, kMostAstigmatism = 0.25;
  constexpr double kTellingRoundness = 0.25;  // of the sagitta: a shape rounder than it is flat
  const double r = ball.sphere.radius;
  // The noisier, the more points it takes to tell a ball from what else noise makes round.
  const double coarse = e.scatter / (0.04 * r);
  if (static_cast<double>(e.support) < std::max(least_support, 20 * (1 + coarse * coarse)))
    return {fmt::format("only {} points", e.support)};
  if (sensor && e.axis.dot((*sensor - ball.sphere.center).normalized()) < -0.2)
    return {"hollow as the sensor sees it"};
  if (e.scatter > most_scatter * r)
    return {fmt::format("points scatter {:.2g} of its radius", e.scatter / r)};
  if (e.form > most_form * r)
    return {fmt::format("its shape departs from a sphere by {:.3g} mm", e.form)};
  if (e.scatter > kNoiseFactor * e.noise + kForm * r)
    return {fmt::format(
        "uneven: points leave it by {:.3g} mm, their noise is {:.3g} mm", e.scatter, e.noise)};
  if (e.purity < kLeastPurity)
    return {fmt::format("in {:.0f} % of the directions seen the surface is another one",
                        100 * (1 - e.purity))};
  if (e.coverage < kLeastCoverage)
    return {fmt::format("covered in only {:.0f} % of its cap", 100 * e.coverage), false, true};
  if (e.astigmatism - 3 * e.u_astigmatism > kMostAstigmatism)
    return {fmt::format("curved {:.0f} % more one way than the other", 100 * e.astigmatism),
            false,
            true};
  if (e.half_angle_deg < least_cap) {
    const double sagitta = r * (1 - std::cos(e.half_angle_deg * M_PI / 180));
    return {fmt::format("seen over a cap of only {:.2g}° half-angle", e.half_angle_deg),
            false,
            std::max(e.scatter, e.form) < kTellingRoundness * sagitta};
  }
  if (e.u_radius > most_u_radius * r)
    return {fmt::format("its radius is uncertain by {:.2g} mm", e.u_radius), false, true};
  if (known) {
    const double ratio = r / demands.nominal_radius;
    if (std::abs(ratio - 1) >
        demands.tolerance + std::min(1.5 * e.u_radius / demands.nominal_radius, 0.03))
      return {fmt::format("{:.3g} times the diameter of {:.4g} mm asked for",
                          ratio,
                          2 * demands.nominal_radius),
              true,
              true};
  }
  return {};
}

}  // namespace rigproof
