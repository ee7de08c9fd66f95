#include <algorithm>
#include <cfloat>
#include <cmath>
#include <limits>
#include <numeric>

#include "fit/decompose.h"
#include "fit/extremes.h"
#include "fit/fit.h"
#include "fit/minimax.h"

namespace rigproof {
namespace {

constexpr std::size_t kTakeAll = 400;  // so few points are all worked on at once
constexpr std::size_t kPerSide = 48;   // points that a round may add on each side
constexpr int kMaxRounds = 200;
constexpr int kMaxSteps = 400;
constexpr double kBalanced = 1e-7;  // multiplier of the reach that counts as none

struct Shell {
  double inner = std::numeric_limits<double>::infinity(), outer = 0;
  double width() const { return outer - inner; }
  double middle() const { return 0.5 * (outer + inner); }
};

Shell shell(const std::vector<Vec3>& points, const Vec3& center) {
  Shell s;
  for (const Vec3& p : points) {
    const double rho = (p - center).norm();
    s.inner = std::min(s.inner, rho);
    s.outer = std::max(s.outer, rho);
  }
  return s;
}

Linearised linearise(const std::vector<Vec3>& points, const Vec3& center, double radius) {
  Linearised l;
  for (const Vec3& p : points) {
    const Vec3 q = p - center;
    const double rho = q.norm();
    l.d.push_back(rho - radius);
    l.n.push_back(rho > 0 ? Vec3(q / rho) : Vec3(Vec3::Zero()));
  }
  return l;
}

double noise_of(const Vec3& center, const Shell& s) {
  return 4 * DBL_EPSILON * (center.norm() + s.outer);
}

struct Local {
  Vec3 center;
  Shell shell;
  Minimax contacts;
  bool minimum = false;
};

// Sequential linear programmes with a trust region. At a minimum five contacts, two outer and three
// inner or three and two, hold the zone: normals of the outer and of the inner ones have a common
// convex combination. (Four against one cannot: no unit vector is inside the hull of others.) Five
// contacts make the steps Newton's, so they close in quadratically.
Local descend(const std::vector<Vec3>& points, const Vec3& start, double reach) {
  Local at{start, shell(points, start), {}};
  const double radius = at.shell.middle();
  for (int step = 0; step < kMaxSteps; ++step) {
    const double noise = noise_of(at.center, at.shell);
    at.contacts = minimax_step(linearise(points, at.center, at.shell.middle()), reach);
    if (!at.contacts.solved || (at.center - start).norm() > 1e6 * radius) return at;
    const double gain = 0.5 * at.shell.width() - at.contacts.height;
    const bool balanced = at.contacts.reach_multiplier <= kBalanced;
    if (gain <= noise && balanced) {
      at.minimum = true;
      return at;
    }
    if (reach < 1e-10 * radius) {
      at.minimum = at.contacts.reach_multiplier <= 1e3 * kBalanced;
      return at;
    }
    const Vec3 trial = at.center + at.contacts.move;
    const Shell s = shell(points, trial);
    const double won = 0.5 * (at.shell.width() - s.width());
    if (won > 0) {
      at.center = trial;
      at.shell = s;
    }
    if (won > 0.75 * gain) reach *= 2;
    if (won < 0.25 * gain) reach *= 0.25;
  }
  return at;
}

// Directions in which no contact moves against another at first order. Where there are none the
// stationary point is a strict minimum.
std::vector<Vec3> free_directions(const std::vector<Vec3>& points, const Local& at) {
  std::vector<Vec3> normals;
  Vec3 mean = Vec3::Zero();
  for (const Minimax::Contact& c : at.contacts.contacts) {
    if (c.multiplier <= kBalanced) continue;
    normals.push_back((points[c.index] - at.center).normalized());
    mean += normals.back();
  }
  if (normals.empty()) return {};
  mean /= static_cast<double>(normals.size());
  Mat3 scatter = Mat3::Zero();
  for (const Vec3& n : normals) scatter += (n - mean) * (n - mean).transpose();
  const PrincipalAxes axes = principal_axes(scatter);
  std::vector<Vec3> free;
  for (int k = 0; k < 3; ++k)
    if (axes.values[k] < 1e-12 * axes.values[2] || axes.values[2] == 0)
      free.push_back(axes.axes.col(k));
  return free;
}

// A stationary point held by two against two contacts is a saddle, because the inner sphere is the
// more curved one: leave it along each free direction and see whether the descent comes back.
Local local_minimum(const std::vector<Vec3>& points, const Vec3& start, double reach) {
  Local best = descend(points, start, reach);
  for (int escape = 0; escape < 8 && best.minimum; ++escape) {
    const double away = 0.25 * best.shell.width();
    bool lower = false;
    for (const Vec3& direction : free_directions(points, best))
      for (double sign : {1.0, -1.0}) {
        const Local other = descend(points, best.center + sign * away * direction, 0.25 * away);
        if (!other.minimum ||
            other.shell.width() >= best.shell.width() - 8 * noise_of(best.center, best.shell))
          continue;
        best = other;
        lower = true;
        break;
      }
    if (!lower) break;
  }
  return best;
}

class WorkingSet {
 public:
  explicit WorkingSet(const Points& points) : all_(points) {}

  const std::vector<Vec3>& points() const { return points_; }

  Extremes about(const Vec3& center, double inner, double outer, std::size_t count) const {
    const double shape[] = {center.x(), center.y(), center.z(), 0};
    return extremes(all_, sphere_residual_block, shape, inner, outer, count);
  }

  void start(const Vec3& center) {
    std::vector<std::size_t> first(all_.size());
    if (all_.size() <= kTakeAll)
      std::iota(first.begin(), first.end(), std::size_t{0});
    else
      first = about(center, INFINITY, -INFINITY, kPerSide).beyond;
    add(first);
  }

  bool add(const std::vector<std::size_t>& indices) {
    bool grown = false;
    for (std::size_t i : indices) {
      const auto at = std::ranges::lower_bound(known_, i);
      if (at != known_.end() && *at == i) continue;
      known_.insert(at, i);
      points_.push_back(all_.local(i));
      grown = true;
    }
    return grown;
  }

 private:
  const Points& all_;
  std::vector<std::size_t> known_;
  std::vector<Vec3> points_;
};

}  // namespace

// A zone of some of the points is never wider than the zone of all about the same centre. A local
// minimum of a working set that holds all points is therefore a local minimum of all.
SphereZone minimum_zone_sphere(const Points& points, const Sphere& start) {
  SphereZone zone;
  zone.center = start.center;
  if (points.empty() || !start.center.allFinite()) return zone;
  WorkingSet set(points);
  Vec3 center = start.center - points.origin;
  Extremes all = set.about(center, 0, 0, 0);
  double width = all.max - all.min;
  if (std::isfinite(width) && all.max < 1e150) {
    set.start(center);
    while (zone.rounds < kMaxRounds && !zone.exact) {
      ++zone.rounds;
      const Local local = local_minimum(set.points(), center, std::max(width, 1e-9 * all.max));
      all = set.about(local.center, local.shell.inner, local.shell.outer, kPerSide);
      const double noise = 4 * noise_of(local.center, local.shell);
      zone.exact = local.minimum && all.max - all.min <= local.shell.width() + noise;
      // A working set that is still too small may let its centre run away: the next round starts
      // again from the best centre for all points.
      if (all.max - all.min < width || zone.exact) {
        center = local.center;
        width = all.max - all.min;
      }
      if (zone.exact)
        for (const Minimax::Contact& c : local.contacts.contacts)
          if (c.multiplier > kBalanced)
            (c.above ? zone.outer_points : zone.inner_points)
                .push_back(points.origin + set.points()[static_cast<std::size_t>(c.index)]);
      if (!zone.exact && !set.add(all.beyond)) break;
    }
  }
  zone.center = points.origin + center;
  const Vec3 rounded = zone.center - points.origin;
  all = set.about(rounded, 0, 0, 0);
  zone.inner = all.min;
  zone.outer = all.max;
  return zone;
}

}  // namespace rigproof
