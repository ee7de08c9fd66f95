#include <algorithm>
#include <cfloat>
#include <cmath>
#include <numeric>

#include <Eigen/Geometry>

#include "fit/extremes.h"
#include "fit/fit.h"
#include "fit/hull_width.h"
#include "fit/lattice_hull.h"
#include "fit/moments.h"

namespace rigproof {
namespace {

constexpr std::size_t kTakeAll = 400;  // so few points all go into the hull at once
constexpr std::size_t kPerSide = 24;   // points that a round may add on each side
constexpr int kMaxRounds = 500;
// Opposite edges are sought among all pairs. A plate needs some hundred corners near its two sides;
// a round body would need all of its own, and is no case for flatness.
constexpr std::size_t kMaxCorners = 1500;

// The points in the principal frame of their least-squares plane, and the lattice that stretches
// each of the three extents to its full size: the thin one keeps as many digits as the long ones.
class WorkingSet {
 public:
  WorkingSet(const Points& points, const PlaneFit& fit) : points_(points), plane_(fit.plane) {
    axes_ << fit.axis_u, fit.axis_v, fit.plane.normal;
    origin_ = plane_.point - points.origin;
    for (int k = 0; k < 3; ++k) {
      const Extremes e = along(Vec3::Unit(k), 0, 0, 0);
      middle_[k] = 0.5 * (e.min + e.max);
      half_[k] = 0.5 * (e.max - e.min);
    }
  }

  const Vec3& half() const { return half_; }
  const Mat3& axes() const { return axes_; }
  const LatticeHull& hull() const { return hull_; }
  const std::vector<Vec3>& coordinates() const { return q_; }
  Vec3 point(int number) const { return points_.at(added_[static_cast<std::size_t>(number)]); }
  // What rounding leaves uncertain in a distance.
  double noise() const { return 16 * DBL_EPSILON * (half_.norm() + origin_.norm()); }

  Extremes along(const Vec3& normal, double low, double high, std::size_t count) const {
    const Plane across{plane_.point, axes_ * normal};
    return extremes(
        points_, plane_residual_block, local_shape(points_, across).data(), low, high, count);
  }

  // True when one of the points changed the hull.
  bool add(const std::vector<std::size_t>& indices) {
    bool changed = false;
    for (std::size_t i : indices) {
      const Vec3 q = axes_.transpose() * (points_.local(i) - origin_);
      LatticeHull::Point p;
      for (int k = 0; k < 3; ++k)
        p[k] = std::llround(std::clamp((q[k] - middle_[k]) / half_[k], -1.0, 1.0) *
                            LatticeHull::kLimit);
      q_.push_back(q);
      added_.push_back(i);
      changed |= hull_.add(p);
    }
    return changed;
  }

  // Extreme points in the 13 directions to faces, edges and corners of the box of the points.
  void start() {
    std::vector<std::size_t> first;
    if (points_.size() <= kTakeAll) {
      first.resize(points_.size());
      std::iota(first.begin(), first.end(), std::size_t{0});
    } else {
      for (int code = 14; code < 27; ++code) {
        const int a = code % 3 - 1, b = code / 3 % 3 - 1, c = code / 9 - 1;
        const Vec3 n(a, b, c);
        const auto e = along(n.cwiseQuotient(half_).normalized(), INFINITY, -INFINITY, 1);
        first.insert(first.end(), e.beyond.begin(), e.beyond.end());
      }
      std::ranges::sort(first);
      const auto rest = std::ranges::unique(first);
      first.erase(rest.begin(), rest.end());
    }
    add(first);
  }

 private:
  const Points& points_;
  Plane plane_;
  Mat3 axes_;
  Vec3 origin_, middle_, half_;
  LatticeHull hull_;
  std::vector<Vec3> q_;             // principal coordinates, by number in the hull
  std::vector<std::size_t> added_;  // index of the point, by the same number
};

PlaneZone zone(const Points& points, const Vec3& normal, bool exact, int rounds) {
  PlaneZone z;
  Plane across{points.at(0), normal};
  const Extremes e =
      extremes(points, plane_residual_block, local_shape(points, across).data(), 0, 0, 0);
  z.plane = {across.point + 0.5 * (e.min + e.max) * normal, normal};
  z.width = e.max - e.min;
  z.exact = exact;
  z.rounds = rounds;
  return z;
}

// Fewer than three points, or all on one line: any plane along the line holds them.
PlaneZone line_zone(const Points& points) {
  if (points.empty() || !moments(points).scatter.allFinite()) return {};
  Vec3 along = Vec3::Zero();
  for (std::size_t i = 1; i < points.size(); ++i)
    if (const Vec3 d = points.local(i) - points.local(0); d.norm() > along.norm()) along = d;
  Eigen::Index least;
  along.cwiseAbs().minCoeff(&least);
  const Vec3 normal =
      along.norm() > 0 ? along.cross(Vec3(Vec3::Unit(least))).normalized() : Vec3(Vec3::UnitZ());
  return zone(points, normal, true, 0);
}

}  // namespace

// The width of some of the points is never more than that of all. So when the best direction of a
// working set of extreme points holds all points in the same width, it is the best of all.
PlaneZone minimum_zone_plane(const Points& points) {
  const PlaneFit fit = fit_plane(points);
  if (!fit.ok()) return line_zone(points);
  WorkingSet set(points, fit);
  if (!(set.half()[2] > set.noise())) return zone(points, fit.plane.normal, true, 0);
  set.start();
  if (!set.hull().solid()) return zone(points, fit.plane.normal, false, 0);

  Support best;
  bool exact = false;
  int rounds = 0;
  while (!exact && rounds < kMaxRounds && set.hull().vertices().size() <= kMaxCorners) {
    ++rounds;
    best = hull_width(set.hull(), set.coordinates());
    const Extremes all = set.along(best.normal, best.low, best.high, kPerSide);
    exact = all.max - all.min <= best.width() + set.noise();
    // Points that are out by less than the lattice can hold are not out.
    if (!exact && !set.add(all.beyond)) {
      exact = all.max - all.min <= best.width() + 1e-9 * set.half()[2];
      break;
    }
  }
  Vec3 normal = set.axes() * best.normal;
  if (normal.dot(fit.plane.normal) < 0) normal = -normal;
  PlaneZone found = zone(points, normal.normalized(), exact, rounds);
  if (exact)
    for (const int number : best.contacts) {
      const Vec3 p = set.point(number);
      (found.plane.deviation(p) < 0 ? found.low : found.high).push_back(p);
    }
  return found;
}

}  // namespace rigproof
