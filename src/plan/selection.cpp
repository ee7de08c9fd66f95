#include "plan/selection.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include <Eigen/Cholesky>

namespace rigproof {
namespace {

constexpr double kAlike = 0.95;
constexpr double kRidge = 4;  // mm⁻²: an error of half a millimetre needs no scan to be noticed
constexpr double kWeakest = 8, kWeakWeight = 3;
constexpr double kDents = 0.3, kBehind = 6, kCrowd = 2;
constexpr double kCrowded = 0.6;  // of what the positions reach, in one third
constexpr double kApartDeg = 11;
constexpr double kNothing = 1e-9;  // mm⁻²
constexpr int kRounds = 12;
constexpr double kLeastGain = 1e-6, kUnbounded = std::numeric_limits<double>::infinity();

Slot one(Role role) {
  const bool plate = role >= Role::plate_near && role <= Role::plate_free;
  return {role == Role::ball ? ArtefactKind::ball
          : plate            ? ArtefactKind::plate
                             : ArtefactKind::bar,
          {role}};
}

bool any_of_kind(const std::vector<ArtefactShape>& shapes, ArtefactKind kind) {
  return std::ranges::any_of(shapes, [&](const auto& s) { return s.kind() == kind; });
}

// Share of the worst third across width, height or depth beyond what is crowded.
double crowding(const std::vector<std::size_t>& chosen,
                const std::vector<Spot>& spots,
                const Volume& volume) {
  std::array<std::array<double, 3>, 3> share{};
  for (const std::size_t i : chosen) {
    const std::vector<Vec3> reached = spots[i].reaches();
    for (const Vec3& p : reached) {
      const Vec3 n = volume.normalized(p);
      for (int axis = 0; axis < 3; ++axis)
        share[axis][n[axis] < -1.0 / 3  ? 0
                    : n[axis] > 1.0 / 3 ? 2
                                        : 1] +=
            1 / static_cast<double>(reached.size() * chosen.size());
    }
  }
  double most = 0;
  for (const auto& axis : share)
    for (const double s : axis) most = std::max(most, s - kCrowded);
  return most;
}

}  // namespace

std::vector<Slot> slots_of(const Procedure& p, const std::vector<ArtefactShape>& shapes) {
  using enum Role;
  std::vector<Slot> out;
  const std::vector<Role> closing_first{depth, space_diagonal, width, height, face_diagonal};
  const std::vector<Role> diagonal_first{space_diagonal, width, depth, height, face_diagonal};
  const auto& bar_roles = p.demand.closing_repeat ? closing_first : diagonal_first;
  const std::vector<Role> plate_roles = p.demand.plate >= 3
                                            ? std::vector<Role>{plate_near,
                                                                plate_far,
                                                                plate_left_away,
                                                                plate_right_away,
                                                                plate_top_away,
                                                                plate_bottom_away}
                                            : std::vector<Role>{plate_left_away, plate_top_away};
  const auto add = [&](ArtefactKind kind, int count, const std::vector<Role>& roles) {
    if (!any_of_kind(shapes, kind)) return;
    for (int i = 0; i < count; ++i)
      out.push_back(i < static_cast<int>(roles.size()) ? one(roles[static_cast<std::size_t>(i)])
                                                       : Slot{kind, {}});
  };
  add(ArtefactKind::bar, p.demand.bar, bar_roles);
  add(ArtefactKind::plate, p.demand.plate, plate_roles);
  // Balls of bars may serve; then only the balls that the procedure places itself remain.
  int balls = p.demand.ball;
  if (p.bar_balls_are_positions && any_of_kind(shapes, ArtefactKind::bar))
    balls = static_cast<int>(std::ranges::count_if(p.positions, [](const PlannedPosition& at) {
      return at.kind == ArtefactKind::ball && !at.closing;
    }));
  add(ArtefactKind::ball, balls, {});
  return out;
}

FaultGroups fault_groups(const Information& information, const Eigen::MatrixXd& usual) {
  FaultGroups groups;
  for (std::size_t f = 0; f < information.faults(); ++f) {
    const auto at = static_cast<Eigen::Index>(f);
    if (information.is_dent(f) || !(usual(at, at) > kRidge)) continue;
    const auto alike = [&](const std::vector<std::size_t>& group) {
      return std::ranges::any_of(group, [&](std::size_t m) {
        const auto g = static_cast<Eigen::Index>(m);
        return std::abs(usual(at, g)) > kAlike * std::sqrt(usual(at, at) * usual(g, g));
      });
    };
    auto group = std::ranges::find_if(groups.members, alike);
    if (group == groups.members.end()) group = groups.members.emplace(group);
    group->push_back(f);
  }
  for (const auto& group : groups.members)
    groups.representatives.push_back(*std::ranges::min_element(group, {}, [&](std::size_t f) {
      return usual(static_cast<Eigen::Index>(f), static_cast<Eigen::Index>(f));
    }));
  return groups;
}

std::vector<double> precision_of(const Eigen::MatrixXd& information) {
  std::vector<double> out;
  for (Eigen::Index f = 0; f < information.rows(); ++f)
    out.push_back(information(f, f) > 0 ? 1 / std::sqrt(information(f, f)) : kUnbounded);
  return out;
}

Merit::Merit(const Information& information,
             FaultGroups groups,
             const std::vector<double>& least,
             std::vector<double> textbook,
             const Volume& volume)
    : information_(information),
      groups_(std::move(groups)),
      textbook_(std::move(textbook)),
      volume_(volume) {
  for (const std::size_t f : groups_.representatives)
    if (improvable(least[f], textbook_[f])) improvable_.push_back(f);
}

double Merit::operator()(const std::vector<std::size_t>& chosen,
                         const std::vector<Spot>& spots) const {
  const Eigen::MatrixXd info = information_.of(chosen);
  const auto m = static_cast<Eigen::Index>(groups_.representatives.size());
  double merit = -kCrowd * crowding(chosen, spots, volume_);
  if (m > 0) {
    Eigen::MatrixXd grouped = kRidge * Eigen::MatrixXd::Identity(m, m);
    for (Eigen::Index i = 0; i < m; ++i) {
      const auto f = static_cast<Eigen::Index>(groups_.representatives[i]);
      for (Eigen::Index j = 0; j < m; ++j)
        grouped(i, j) += info(f, static_cast<Eigen::Index>(groups_.representatives[j]));
    }
    const Eigen::VectorXd pivots = grouped.ldlt().vectorD();
    for (Eigen::Index i = 0; i < m; ++i)
      merit += 0.5 * std::log(std::max(pivots[i], kRidge)) / static_cast<double>(m);
  }
  double weak = 0;  // ruled by the groups that are seen worst
  for (const std::size_t f : improvable_)
    weak += std::pow(info(static_cast<Eigen::Index>(f), static_cast<Eigen::Index>(f)) + kRidge,
                     -kWeakest / 2);
  if (weak > 0) merit -= kWeakWeight / kWeakest * std::log(weak);
  double dents = 0;
  int count = 0;
  for (std::size_t f = 0; f < information_.faults(); ++f) {
    const double own = info(static_cast<Eigen::Index>(f), static_cast<Eigen::Index>(f));
    if (information_.is_dent(f)) dents += 0.5 * std::log(own + kRidge), ++count;
    if (std::isfinite(textbook_[f]))
      merit -=
          kBehind * std::max(0.0, -0.5 * std::log((own + kNothing) * textbook_[f] * textbook_[f]));
  }
  return count > 0 ? merit + kDents * dents / count : merit;
}

std::vector<int> select(const std::vector<Slot>& slots,
                        const SpotPool& pool,
                        bool closing,
                        const Merit& merit,
                        double apart_mm) {
  std::vector<int> chosen(slots.size(), -1);
  const auto spot = [&](int i) -> const Spot& { return pool.spots[static_cast<std::size_t>(i)]; };
  const auto merit_now = [&] {
    std::vector<std::size_t> set;
    for (const int i : chosen)
      if (i >= 0) set.push_back(static_cast<std::size_t>(i));
    if (closing && chosen[0] >= 0)
      set.push_back(static_cast<std::size_t>(pool.copy[static_cast<std::size_t>(chosen[0])]));
    return merit(set, pool.spots);
  };
  const auto allowed = [&](std::size_t slot, int i) {
    const Slot& s = slots[slot];
    if (spot(i).shape->kind() != s.kind) return false;
    if (!s.roles.empty() && !std::ranges::count(s.roles, spot(i).role)) return false;
    if (closing && slot == 0 && pool.copy[static_cast<std::size_t>(i)] < 0) return false;
    for (std::size_t other = 0; other < slots.size(); ++other)
      if (other != slot && chosen[other] >= 0 &&
          same_spot(spot(i), spot(chosen[other]), apart_mm, kApartDeg))
        return false;
    return true;
  };
  const auto improve = [&](std::size_t slot) {
    const int before = chosen[slot];
    int best = before;
    double most = before >= 0 ? merit_now() + kLeastGain : -kUnbounded;
    for (int i = 0; i < static_cast<int>(pool.selectable); ++i) {
      if (i == before || !allowed(slot, i)) continue;
      chosen[slot] = i;
      if (const double m = merit_now(); m > most) {
        most = m;
        best = i;
      }
    }
    chosen[slot] = best;
    return best != before;
  };
  bool moved = true;
  for (int round = 0; round < kRounds && moved; ++round) {
    moved = false;
    for (std::size_t slot = 0; slot < slots.size(); ++slot) moved = improve(slot) || moved;
  }
  return chosen;
}

}  // namespace rigproof
