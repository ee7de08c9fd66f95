#include "plan/spot.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "judge/positions.h"

namespace rigproof {
namespace {

constexpr int kLeans = 40;
constexpr double kPlannedDeg = 5;
constexpr double kClearanceShare = 0.015, kLeastClearance = 2;
constexpr double kUpright = 0.05;  // a bar that points straight away leans upwards by this

double degrees(double radians) { return radians * 180 / std::numbers::pi; }

Vec3 usual_direction(ArtefactKind kind) {
  return kind == ArtefactKind::plate ? Vec3(0, 0, -1) : Vec3(1, 0, 0);
}

// `less` 0 … 1: how much of the lean in depth, or of the tilt, is given up.
Vec3 leaning_less(ArtefactKind kind, Vec3 d, double less) {
  if (kind == ArtefactKind::plate)
    return Vec3(d.x() * (1 - less), d.y() * (1 - less), d.z()).normalized();
  // The near ball must not hide the far one.
  if (std::hypot(d.x(), d.y()) < kUpright * d.norm()) d.y() = -kUpright * d.norm();
  return Vec3(d.x() * (1 + 6 * less), d.y() * (1 + 6 * less), d.z() * (1 - less)).normalized();
}

}  // namespace

std::string to_string(Role role) {
  switch (role) {
    case Role::width:
      return "along the width";
    case Role::height:
      return "along the height";
    case Role::depth:
      return "leaning in depth";
    case Role::face_diagonal:
      return "face diagonal";
    case Role::space_diagonal:
      return "space diagonal";
    case Role::plate_near:
    case Role::plate_far:
    case Role::plate_free:
      return "square to the view";
    case Role::plate_left_away:
      return "left edge away";
    case Role::plate_right_away:
      return "right edge away";
    case Role::plate_top_away:
      return "top edge away";
    case Role::plate_bottom_away:
      return "bottom edge away";
    case Role::ball:
      return "ball";
  }
  return "";
}

PlacingRules placing_rules(const Rig& rig, const Field& field, const Procedure& procedure) {
  PlacingRules r;
  r.volume = field.volume;
  r.eyes = eyes_of(rig, field);
  r.cap_half_angle_deg = procedure.zones.cap_half_angle_deg + 0.5;
  r.clearance_mm = std::max(kLeastClearance, kClearanceShare * field.volume.diagonal());
  return r;
}

std::vector<Vec3> Spot::reaches() const {
  std::vector<Vec3> out;
  for (const Vec3& c : shape->centers) out.push_back(pose * c);
  if (shape->kind() == ArtefactKind::plate) out = touches(*shape, pose, 0);
  return out;
}

bool same_spot(const Spot& a, const Spot& b, double center_mm, double direction_deg) {
  if (a.shape->kind() != b.shape->kind() || (a.center() - b.center()).norm() > center_mm)
    return false;
  return a.shape->kind() == ArtefactKind::ball ||
         angle_deg(a.direction, b.direction) <= direction_deg;
}

std::optional<Spot> stand(const ArtefactShape& shape,
                          const Vec3& center,
                          const Vec3& direction,
                          const PlacingRules& rules) {
  const ArtefactKind kind = shape.kind();
  const int leans = kind == ArtefactKind::ball ? 0 : kLeans;
  for (int i = 0; i <= leans; ++i) {
    const Vec3 d = leaning_less(kind, direction, static_cast<double>(i) / kLeans);
    RigidTransform pose = pose_at(kind, center, d);
    if (!push_inside(shape, rules.volume, rules.cap_half_angle_deg, rules.clearance_mm, pose))
      continue;
    const double seen = seen_share(shape, pose, rules.eyes, rules.cap_half_angle_deg);
    if (seen < rules.least_seen) continue;
    Spot s{&shape, pose, Vec3::Zero(), Role::ball, seen, 0};
    if (kind == ArtefactKind::ball) return s;
    s.direction = kind == ArtefactKind::plate ? Vec3(-pose.rotation.col(2)) : d;
    s.off_deg = angle_deg(d, direction);
    return s;
  }
  return std::nullopt;
}

std::optional<Spot> stand(const PlannedPosition& p,
                          const std::vector<ArtefactShape>& shapes,
                          const PlacingRules& rules) {
  const Vec3 center = rules.volume.from_normalized({p.center[0], p.center[1], p.center[2]});
  const Vec3 wanted =
      p.direction ? direction_in(rules.volume, p.kind, *p.direction) : usual_direction(p.kind);
  std::vector<const ArtefactShape*> longest_first;
  for (const ArtefactShape& s : shapes)
    if (s.kind() == p.kind) longest_first.push_back(&s);
  std::ranges::stable_sort(longest_first, std::greater{}, [](auto* s) { return s->size_mm(); });
  std::optional<Spot> best;
  for (const ArtefactShape* shape : longest_first) {
    const auto spot = stand(*shape, center, wanted, rules);
    if (spot && (!best || best->off_deg > std::max(spot->off_deg, kPlannedDeg))) best = spot;
  }
  return best;
}

std::optional<double> largest_lean_deg(const ArtefactShape& shape, const PlacingRules& rules) {
  std::optional<double> best;
  const auto try_lean = [&](const Vec3& direction) {
    for (const double y : {0.0, -0.5, 0.5}) {
      const Vec3 center = rules.volume.from_normalized({0, y, 0});
      const auto spot = stand(shape, center, direction, rules);
      if (!spot) continue;
      const double z = std::abs(spot->direction.normalized().z());
      const double lean = shape.kind() == ArtefactKind::plate
                              ? degrees(std::acos(std::min(1.0, z)))
                              : degrees(std::asin(std::min(1.0, z)));
      best = std::max(best.value_or(0), lean);
    }
  };
  switch (shape.kind()) {
    case ArtefactKind::bar:
      for (const Vec3& d :
           {Vec3(0, 0, 1), Vec3(0, -0.6, 1), Vec3(0.6, 0, 1), Vec3(1, 1, 1), Vec3(1, 1, 0)})
        try_lean(d.normalized());
      break;
    case ArtefactKind::plate:
      for (const Vec3& d : {Vec3(1, 0, -1), Vec3(0, 1, -1), Vec3(0, 0, -1)})
        try_lean(d.normalized());
      break;
    case ArtefactKind::ball:
      if (stand(shape, rules.volume.middle(), Vec3::UnitX(), rules)) best = 0;
      break;
  }
  return best;
}

}  // namespace rigproof
