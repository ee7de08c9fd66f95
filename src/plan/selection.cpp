#include "plan/selection.h"

#include <algorithm>
#include <limits>
#include <set>

#include "base/threads.h"
#include "evaluate/random.h"

namespace rigproof {
namespace {

constexpr double kApartDeg = 11;
constexpr int kRounds = 12;
constexpr std::size_t kStarts = 24;
constexpr std::uint64_t kSeed = 11;
constexpr double kLeastGain = 1e-6, kUnbounded = std::numeric_limits<double>::infinity();
constexpr double kWorthAChange = 0.03;  // better by this, of the length error seen worst

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

// What is chosen so far, slot by slot, and what it is worth.
class Search {
 public:
  Search(const std::vector<Slot>& slots,
         const SpotPool& pool,
         bool closing,
         const Information& information,
         const Merit& merit,
         double apart_mm)
      : slots_(slots),
        pool_(pool),
        closing_(closing),
        information_(information),
        merit_(merit),
        apart_mm_(apart_mm),
        chosen_(slots.size(), -1) {}

  // `few`: of each kind the longest alone, where it fits.
  void fill_at_random(Random& random, bool few) {
    for (std::size_t slot = 0; slot < slots_.size(); ++slot) {
      std::vector<int> fitting;
      for (int i = 0; i < static_cast<int>(pool_.selectable); ++i)
        if (allowed(slot, i)) fitting.push_back(i);
      if (few && !fitting.empty()) keep_longest(fitting);
      if (!fitting.empty())
        chosen_[slot] = fitting[static_cast<std::size_t>(random.uniform() *
                                                         static_cast<double>(fitting.size()))];
    }
  }

  // From nothing this is the greedy choice.
  void exchange() {
    bool moved = true;
    for (int round = 0; round < kRounds && moved; ++round) {
      moved = false;
      for (std::size_t slot = 0; slot < slots_.size(); ++slot) moved = improve(slot) || moved;
    }
  }

  double value() const { return value_; }
  const std::vector<int>& chosen() const { return chosen_; }

 private:
  const Spot& spot(int i) const { return pool_.spots[static_cast<std::size_t>(i)]; }

  void keep_longest(std::vector<int>& spots) const {
    const auto size = [&](int i) { return spot(i).shape->size_mm(); };
    const ArtefactShape* longest = spot(*std::ranges::max_element(spots, {}, size)).shape;
    std::erase_if(spots, [&](int i) { return spot(i).shape != longest; });
  }

  bool allowed(std::size_t slot, int i) const {
    const Slot& s = slots_[slot];
    if (spot(i).shape->kind() != s.kind) return false;
    if (!s.roles.empty() && !std::ranges::count(s.roles, spot(i).role)) return false;
    if (closing_ && slot == 0 && pool_.copy[static_cast<std::size_t>(i)] < 0) return false;
    for (std::size_t other = 0; other < slots_.size(); ++other)
      if (other != slot && chosen_[other] >= 0 &&
          same_spot(spot(i), spot(chosen_[other]), apart_mm_, kApartDeg))
        return false;
    return true;
  }

  // Scans that a spot in this slot stands for.
  std::vector<std::size_t> scans(std::size_t slot, int i) const {
    std::vector<std::size_t> out{static_cast<std::size_t>(i)};
    if (closing_ && slot == 0) out.push_back(static_cast<std::size_t>(pool_.copy[out[0]]));
    return out;
  }

  void count(std::size_t slot, int i, Thirds& sum, int& number) const {
    const int times = closing_ && slot == 0 ? 2 : 1;
    number += times;
    for (int axis = 0; axis < 3; ++axis)
      for (int third = 0; third < 3; ++third)
        sum[axis][third] += times * pool_.thirds[static_cast<std::size_t>(i)][axis][third];
  }

  bool improve(std::size_t slot) {
    std::vector<std::size_t> others;
    std::set<const ArtefactShape*> in_hand;
    Thirds thirds{};
    int number = 0;
    for (std::size_t other = 0; other < slots_.size(); ++other) {
      if (other == slot || chosen_[other] < 0) continue;
      for (const std::size_t i : scans(other, chosen_[other])) others.push_back(i);
      in_hand.insert(spot(chosen_[other]).shape);
      count(other, chosen_[other], thirds, number);
    }
    const Information::Part part(information_, others);
    const auto value_with = [&](int i) {
      Thirds sum = thirds;
      int all = number;
      count(slot, i, sum, all);
      const auto artefacts = in_hand.size() + (in_hand.contains(spot(i).shape) ? 0 : 1);
      return merit_(part.with(scans(slot, i)), sum, all) -
             static_cast<double>(artefacts) * Merit::of_better_worst(kWorthAChange);
    };
    const int before = chosen_[slot];
    int best = before;
    double most = before >= 0 ? value_with(before) + kLeastGain : -kUnbounded;
    for (int i = 0; i < static_cast<int>(pool_.selectable); ++i) {
      if (i == before || !allowed(slot, i)) continue;
      if (const double value = value_with(i); value > most) {
        most = value;
        best = i;
      }
    }
    chosen_[slot] = best;
    if (best >= 0) value_ = most;
    return best != before;
  }

  const std::vector<Slot>& slots_;
  const SpotPool& pool_;
  bool closing_;
  const Information& information_;
  const Merit& merit_;
  double apart_mm_;
  std::vector<int> chosen_;
  double value_ = -kUnbounded;
};

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

std::vector<int> select(const std::vector<Slot>& slots,
                        const SpotPool& pool,
                        bool closing,
                        const Information& information,
                        const Merit& merit,
                        double apart_mm) {
  std::vector<std::vector<int>> chosen(kStarts);
  std::vector<double> value(kStarts);
  parallel_blocks(kStarts, 0, [&](std::size_t start, int) {
    Search search(slots, pool, closing, information, merit, apart_mm);
    Random random(kSeed, start);
    if (start > 0) search.fill_at_random(random, start % 2 == 1);
    search.exchange();
    chosen[start] = search.chosen();
    value[start] = search.value();
  });
  return chosen[static_cast<std::size_t>(std::ranges::max_element(value) - value.begin())];
}

}  // namespace rigproof
