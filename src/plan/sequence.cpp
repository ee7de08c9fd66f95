#include "plan/sequence.h"

#include <algorithm>
#include <limits>

namespace rigproof {
namespace {

int kind_rank(ArtefactKind kind) {
  return kind == ArtefactKind::bar ? 0 : kind == ArtefactKind::plate ? 1 : 2;
}

}  // namespace

double move_between(const Spot& a, const Spot& b) {
  double way = (a.center() - b.center()).norm();
  if (a.direction.norm() > 0 && b.direction.norm() > 0) {
    const Vec3 turn = a.direction.dot(b.direction) < 0 ? Vec3(a.direction + b.direction)
                                                       : Vec3(a.direction - b.direction);
    way += 0.5 * a.shape->size_mm() * turn.norm();
  }
  return way;
}

std::vector<Spot> sequenced(const std::vector<Spot>& spots) {
  if (spots.empty()) return {};
  std::vector<Spot> left(spots.begin() + 1, spots.end()), out{spots.front()};
  while (!left.empty()) {
    const Spot& last = out.back();
    const auto cost = [&](const Spot& s) {
      // Same artefact, then the same kind, then bars, plates, balls; nearest among equals.
      const double change = s.shape == last.shape ? 0
                            : s.shape->kind() == last.shape->kind()
                                ? 1
                                : 2 + kind_rank(s.shape->kind());
      return std::pair(change, move_between(last, s));
    };
    const auto next = std::ranges::min_element(left, {}, cost);
    out.push_back(*next);
    left.erase(next);
  }
  return out;
}

}  // namespace rigproof
