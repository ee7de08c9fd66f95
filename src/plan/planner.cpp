#include "plan/planner.h"

#include <algorithm>
#include <numeric>

#include "judge/positions.h"
#include "plan/plan.h"

namespace rigproof {
namespace {

constexpr std::ptrdiff_t kMostBars = 5;

int append(SpotPool& pool, const Spot& spot) {
  pool.spots.push_back(spot);
  return static_cast<int>(pool.spots.size()) - 1;
}
std::vector<std::vector<std::string>> groups_of(const Information& information,
                                                const FaultGroups& groups) {
  std::vector<std::vector<std::string>> out;
  for (std::size_t g = 0; g < groups.members.size(); ++g) {
    out.push_back({information.fault(groups.representatives[g]).id});
    for (const std::size_t f : groups.members[g])
      if (f != groups.representatives[g]) out.back().push_back(information.fault(f).id);
  }
  return out;
}

// What a session would measure: the longest plate and ball, and the longest bars, of which a case
// holds few and the search time for few.
std::vector<const ArtefactShape*> worth_trying(const std::vector<ArtefactShape>& shapes) {
  std::vector<const ArtefactShape*> longest_first, out;
  for (const ArtefactShape& s : shapes) longest_first.push_back(&s);
  std::ranges::stable_sort(longest_first, std::greater{}, [](auto* s) { return s->size_mm(); });
  for (const ArtefactShape* s : longest_first)
    if (std::ranges::count(out, s->kind(), &ArtefactShape::kind) <
        (s->kind() == ArtefactKind::bar ? kMostBars : 1))
      out.push_back(s);
  return out;
}

}  // namespace

Planner::Planner(const Session& session, const std::vector<ArtefactShape>& shapes, double pitch_px)
    : session_(session),
      shapes_(shapes),
      rules_(placing_rules(session.rig, *session.field(), session.procedure)),
      noise_(expected_noise(session.rig, *session.field(), pitch_px)),
      slots_(slots_of(session.procedure, shapes)),
      closing_(session.procedure.demand.closing_repeat && !slots_.empty() &&
               slots_.front().kind == ArtefactKind::bar),
      textbook_(textbook_arrangement()) {}

Arrangement Planner::textbook_arrangement() const {
  const auto count = [&](ArtefactKind kind) {
    return static_cast<int>(std::ranges::count(slots_, kind, &Slot::kind));
  };
  Arrangement out;
  for (const PlannedPosition& p : textbook_positions(count(ArtefactKind::bar),
                                                     count(ArtefactKind::plate),
                                                     count(ArtefactKind::ball),
                                                     closing_))
    if (const auto spot = stand(p, shapes_, rules_)) {
      out.scans.push_back(*spot);
      out.closing = out.closing || p.closing;
    }
  return out;
}

SpotPool Planner::spots() const {
  SpotPool pool;
  for (const ArtefactShape* shape : worth_trying(shapes_)) {
    const auto more = spots_of(*shape, rules_);
    pool.spots.insert(pool.spots.end(), more.begin(), more.end());
  }
  pool.selectable = pool.spots.size();
  for (const Spot& s : pool.spots) pool.thirds.push_back(thirds_of(s, rules_.volume));
  pool.copy.assign(pool.selectable, -1);
  // The longest bar that can lean shows best what warms up between its two scans.
  const auto may_close = [&](const Spot& s) {
    return closing_ && std::ranges::count(slots_.front().roles, s.role);
  };
  const ArtefactShape* longest = nullptr;
  for (const Spot& s : pool.spots)
    if (may_close(s) && (!longest || s.shape->size_mm() > longest->size_mm())) longest = s.shape;
  for (std::size_t i = 0; i < pool.selectable; ++i)
    if (pool.spots[i].shape == longest && may_close(pool.spots[i]))
      pool.copy[i] = append(pool, pool.spots[i]);
  return pool;
}

Planner::Choice Planner::choose() const {
  SpotPool pool = spots();
  std::vector<std::size_t> of_textbook;
  for (const Spot& s : textbook_.scans)
    of_textbook.push_back(static_cast<std::size_t>(append(pool, s)));

  const Information information(pool.spots, rules_, noise_, session_);
  std::vector<std::size_t> set(pool.selectable);
  std::iota(set.begin(), set.end(), std::size_t{0});
  const Eigen::MatrixXd everything = information.of(set);
  const Eigen::MatrixXd usual = information.of(of_textbook);
  const FaultGroups groups =
      fault_groups(information, textbook_.scans.empty() ? everything : usual);
  const std::vector<double> least = precision_of(everything), textbook = precision_of(usual);
  const Merit merit(information, groups, least, textbook);
  const double apart = 2 * SamePlace::for_volume(&rules_.volume).center_mm;
  Choice out;
  set.clear();
  for (const int i : select(slots_, pool, closing_, information, merit, apart))
    if (i >= 0) {
      set.push_back(static_cast<std::size_t>(i));
      out.arrangement.scans.push_back(pool.spots[set.back()]);
    }
  out.arrangement.closing = closing_ && !set.empty() && pool.copy[set.front()] >= 0;
  out.groups = groups_of(information, groups);
  for (std::size_t f = 0; f < information.faults(); ++f)
    out.least[information.fault(f).id + information.fault(f).zone] = least[f];
  return out;
}

}  // namespace rigproof
