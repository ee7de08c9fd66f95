#include <algorithm>
#include <cmath>

#include "base/threads.h"
#include "plan/spot.h"

namespace rigproof {
namespace {

constexpr double kSameShare = 0.045, kSameDeg = 7;  // candidates nearer than this are one

struct Wish {
  Role role;
  Vec3 along;  // normalised to the volume
};

const std::vector<Wish>& bar_wishes() {
  using enum Role;
  static const std::vector<Wish> wishes{{width, {1, 0, 0}},
                                        {height, {0, 1, 0}},
                                        {depth, {0, -0.6, 1}},
                                        {depth, {0, 0.6, 1}},
                                        {depth, {0.6, 0, 1}},
                                        {depth, {-0.6, 0, 1}},
                                        {depth, {0, 0, 1}},
                                        {face_diagonal, {1, 1, 0}},
                                        {face_diagonal, {1, -1, 0}},
                                        {space_diagonal, {1, 1, 1}},
                                        {space_diagonal, {1, -1, 1}},
                                        {space_diagonal, {-1, 1, 1}},
                                        {space_diagonal, {-1, -1, 1}}};
  return wishes;
}

// Normals towards the rig: an edge that goes away turns the normal to its own side.
const std::vector<Wish>& plate_wishes() {
  using enum Role;
  static const std::vector<Wish> wishes{{plate_near, {0, 0, -1}},
                                        {plate_far, {0, 0, -1}},
                                        {plate_free, {0, 0, -1}},
                                        {plate_left_away, {-0.45, 0, -1}},
                                        {plate_right_away, {0.45, 0, -1}},
                                        {plate_top_away, {0, -0.45, -1}},
                                        {plate_bottom_away, {0, 0.45, -1}},
                                        {plate_left_away, {-0.8, 0, -1}},
                                        {plate_right_away, {0.8, 0, -1}},
                                        {plate_top_away, {0, -0.8, -1}},
                                        {plate_bottom_away, {0, 0.8, -1}}};
  return wishes;
}

std::vector<Vec3> grid(const std::vector<double>& steps) {
  std::vector<Vec3> out;
  for (const double z : steps)
    for (const double y : steps)
      for (const double x : steps) out.push_back({x, y, z});
  return out;
}

// Near and far are the third of the volume that the middle of the artefact reaches.
bool in_its_third(const Spot& spot, const Volume& volume) {
  const double depth = volume.normalized(spot.center()).z();
  if (spot.role == Role::plate_near) return depth < -1.0 / 3;
  if (spot.role == Role::plate_far) return depth > 1.0 / 3;
  return true;
}

}  // namespace

std::vector<Spot> spots_of(const ArtefactShape& shape, const PlacingRules& rules) {
  const ArtefactKind kind = shape.kind();
  static const std::vector<Wish> ball_wish{{Role::ball, {1, 0, 0}}};
  const auto& wishes = kind == ArtefactKind::ball  ? ball_wish
                       : kind == ArtefactKind::bar ? bar_wishes()
                                                   : plate_wishes();
  const double same = kSameShare * rules.volume.diagonal();
  const std::vector<Vec3> places = grid({-1, 0, 1});
  std::vector<std::optional<Spot>> standing(wishes.size() * places.size());
  parallel_blocks(standing.size(), 0, [&](std::size_t i, int) {
    const Wish& wish = wishes[i / places.size()];
    const Vec3 direction =
        direction_in(rules.volume, kind, {wish.along.x(), wish.along.y(), wish.along.z()});
    standing[i] =
        stand(shape, rules.volume.from_normalized(places[i % places.size()]), direction, rules);
    if (standing[i]) standing[i]->role = wish.role;
  });
  std::vector<Spot> out;
  for (const auto& spot : standing)
    if (spot && in_its_third(*spot, rules.volume) && std::ranges::none_of(out, [&](const Spot& o) {
          return o.role == spot->role && same_spot(o, *spot, same, kSameDeg);
        }))
      out.push_back(*spot);
  return out;
}

}  // namespace rigproof
