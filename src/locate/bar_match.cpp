#include "locate/bar_match.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numeric>

namespace rigproof {
namespace {

constexpr std::size_t kMostMatches = 256;  // of one artefact in one scan; more says nothing
/// Assignments of one ball that are tried. tests/locate/bar_match_test.cpp finds a plate of the
/// most balls that an artefact can have.
constexpr int kMostTries = 10'000'000;
/// Diameters that differ by less cannot tell two balls apart.
constexpr double kDiameterTells = 1e-4;

/// A distance between two balls of the list, by index.
struct Span {
  int from, to;
  double nominal;
};

std::vector<Span> spans_of(const Artefact& artefact) {
  const auto index = [&](const std::string& id) {
    const auto at = std::ranges::find(artefact.balls, id, &ArtefactBall::id);
    return at == artefact.balls.end() ? -1 : static_cast<int>(at - artefact.balls.begin());
  };
  std::vector<Span> spans;
  for (const ArtefactDistance& d : artefact.distances) {
    const Span s{index(d.from), index(d.to), d.length.mm};
    if (s.from >= 0 && s.to >= 0 && s.from != s.to && s.nominal > 0) spans.push_back(s);
  }
  return spans;
}

/// The balls by index, each after one that a distance ties it to where there is one: what cannot
/// fit is seen before anything is built on it.
std::vector<int> order_of_search(std::size_t balls, const std::vector<Span>& spans) {
  std::vector<std::vector<int>> tied(balls);
  for (const Span& s : spans) {
    tied[s.from].push_back(s.to);
    tied[s.to].push_back(s.from);
  }
  std::vector<int> starts(balls), order;
  std::iota(starts.begin(), starts.end(), 0);
  std::ranges::stable_partition(starts, [&](int b) { return !tied[b].empty(); });
  std::vector<bool> listed(balls);
  for (const int start : starts) {
    if (!listed[start]) order.push_back(start);
    listed[start] = true;
    for (std::size_t next = order.size() - 1; next < order.size(); ++next)
      for (const int b : tied[order[next]]) {
        if (!listed[b]) order.push_back(b);
        listed[b] = true;
      }
  }
  return order;
}

/// All assignments of sightings to the balls of an artefact that fit; none when there are too many
/// to try.
class Matcher {
 public:
  Matcher(const std::vector<BallSighting>& sighted,
          const Artefact& artefact,
          const BarTolerances& tolerances)
      : sighted_(sighted),
        artefact_(artefact),
        tolerances_(tolerances),
        spans_(spans_of(artefact)),
        order_(order_of_search(artefact.balls.size(), spans_)),
        spans_of_ball_(artefact.balls.size()),
        chosen_(artefact.balls.size(), -1),
        taken_(sighted.size()) {
    for (const Span& s : spans_)
      for (const int ball : {s.from, s.to}) spans_of_ball_[ball].push_back(s);
  }

  std::vector<BarMatch> all() {
    if (!spans_.empty() && sighted_.size() >= artefact_.balls.size()) choose(0);
    // A search that was cut short has shown nothing.
    if (tries_ > kMostTries && matches_.size() < kMostMatches) return {};
    return std::move(matches_);
  }

 private:
  void choose(std::size_t place) {
    if (place == order_.size()) {
      matches_.push_back(describe());
      return;
    }
    const int ball = order_[place];
    for (int k = 0; k < static_cast<int>(sighted_.size()); ++k) {
      if (taken_[k]) continue;
      if (matches_.size() >= kMostMatches || ++tries_ > kMostTries) return;
      chosen_[ball] = k;
      taken_[k] = true;
      if (fits_so_far(ball)) choose(place + 1);
      chosen_[ball] = -1;
      taken_[k] = false;
    }
  }

  double diameter(int sighted) const { return 2 * sighted_[sighted].sphere.radius; }
  double measured(const Span& s) const {
    return (sighted_[chosen_[s.from]].sphere.center - sighted_[chosen_[s.to]].sphere.center).norm();
  }

  bool fits_so_far(int ball) const {
    const double nominal = artefact_.balls[ball].diameter.mm;
    if (nominal > 0) {
      if (std::abs(diameter(chosen_[ball]) / nominal - 1) > tolerances_.diameter) return false;
    } else {
      for (int other = 0; other < static_cast<int>(chosen_.size()); ++other)
        if (other != ball && chosen_[other] >= 0 && artefact_.balls[other].diameter.mm <= 0 &&
            std::abs(diameter(chosen_[ball]) / diameter(chosen_[other]) - 1) > tolerances_.equal)
          return false;
    }
    return std::ranges::none_of(spans_of_ball_[ball], [&](const Span& s) {
      return chosen_[s.from] >= 0 && chosen_[s.to] >= 0 &&
             std::abs(measured(s) / s.nominal - 1) > tolerances_.distance;
    });
  }

  BarMatch describe() const {
    BarMatch m;
    m.artefact = &artefact_;
    m.balls = chosen_;
    double lo = 1e300, hi = -1e300, squares = 0;
    const auto take = [&](double ratio, double& worst) {
      worst = std::max(worst, std::abs(ratio - 1));
      lo = std::min(lo, ratio);
      hi = std::max(hi, ratio);
    };
    for (const Span& s : spans_) {
      const double ratio = measured(s) / s.nominal;
      take(ratio, m.distance_misfit);
      squares += (ratio - 1) * (ratio - 1);
    }
    m.rms = std::sqrt(squares / static_cast<double>(spans_.size()));
    for (std::size_t b = 0; b < chosen_.size(); ++b)
      if (artefact_.balls[b].diameter.mm > 0)
        take(diameter(chosen_[b]) / artefact_.balls[b].diameter.mm, m.diameter_misfit);
    m.scale_spread = hi - lo;
    return m;
  }

  const std::vector<BallSighting>& sighted_;
  const Artefact& artefact_;
  const BarTolerances& tolerances_;
  std::vector<Span> spans_;
  std::vector<int> order_;
  std::vector<std::vector<Span>> spans_of_ball_;
  std::vector<int> chosen_;
  std::vector<bool> taken_;
  int tries_ = 0;
  std::vector<BarMatch> matches_;
};

/// Sum of squared differences between the diameters and the listed ones, their common ratio
/// removed.
double diameter_disorder(const BarMatch& m, const std::vector<BallSighting>& sighted) {
  std::vector<double> ratios;
  for (std::size_t b = 0; b < m.balls.size(); ++b)
    if (m.artefact->balls[b].diameter.mm > 0)
      ratios.push_back(2 * sighted[m.balls[b]].sphere.radius / m.artefact->balls[b].diameter.mm);
  double mean = 0, sum = 0;
  for (double r : ratios) mean += r / static_cast<double>(ratios.size());
  for (double r : ratios) sum += (r - mean) * (r - mean);
  return sum;
}

bool diameters_tell(const Artefact& artefact) {
  double lo = 1e300, hi = 0;
  for (const ArtefactBall& b : artefact.balls) {
    if (b.diameter.mm <= 0) return false;
    lo = std::min(lo, b.diameter.mm);
    hi = std::max(hi, b.diameter.mm);
  }
  return hi / lo - 1 > kDiameterTells;
}

/// The centres in the order of the list, for comparing from left to right.
std::vector<std::array<double, 3>> centers(const BarMatch& m,
                                           const std::vector<BallSighting>& sighted) {
  std::vector<std::array<double, 3>> c;
  for (int k : m.balls) {
    const Vec3& p = sighted[k].sphere.center;
    c.push_back({p.x(), p.y(), p.z()});
  }
  return c;
}

/// Whether a bar runs right to left; one that hardly leaves the vertical, bottom to top; one along
/// the view, far to near.
bool runs_back(const Vec3& d) {
  constexpr double kTells = 0.2;  // of the length
  for (int axis = 0; axis < 3; ++axis)
    if (std::abs(d[axis]) > kTells * d.norm()) return d[axis] < 0;
  return false;
}

/// Of several orders of the same balls: distances that differ tell first (a ball plate), then
/// diameters, then left to right.
BarMatch best_order(std::vector<BarMatch> orders, const std::vector<BallSighting>& sighted) {
  constexpr double kDistanceTells = 1e-3;
  const double least = std::ranges::min(orders, {}, &BarMatch::rms).rms;
  std::erase_if(orders, [&](const BarMatch& m) { return m.rms > least + kDistanceTells; });
  std::ranges::sort(orders, {}, [&](const BarMatch& m) { return centers(m, sighted); });
  BarMatch best = orders.front();
  if (!diameters_tell(*best.artefact)) return best;
  for (const BarMatch& m : orders)
    if (diameter_disorder(m, sighted) < diameter_disorder(best, sighted)) best = m;
  best.swapped = runs_back(sighted[best.balls.back()].sphere.center -
                           sighted[best.balls.front()].sphere.center);
  return best;
}

}  // namespace

std::vector<BarMatch> match_bar(const std::vector<BallSighting>& sighted,
                                const Artefact& artefact,
                                const BarTolerances& tolerances) {
  std::map<std::vector<int>, std::vector<BarMatch>> by_set;
  for (BarMatch& m : Matcher(sighted, artefact, tolerances).all()) {
    std::vector<int> set = m.balls;
    std::ranges::sort(set);
    by_set[set].push_back(std::move(m));
  }
  std::vector<BarMatch> matches;
  for (auto& [set, orders] : by_set) matches.push_back(best_order(std::move(orders), sighted));
  return matches;
}

}  // namespace rigproof
